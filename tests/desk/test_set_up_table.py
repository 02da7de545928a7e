"""A table of zones brought along: units told by the head, columns corrected, all rows or none."""

import io
import zipfile
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse
from openpyxl import Workbook, load_workbook

from common.errors import Refused
from desk.set_up.matching import guess
from desk.set_up.tables import read_file, read_text
from fleet.models import SetUpDraft
from tests.cast import TODAY, Cast
from tests.desk.set_up_texts import BOX, say, start

pytestmark = pytest.mark.django_db
GOOD = (
    "No.\tName\tPlants\tHeads\tArea (sq ft)\tSlope\n"
    "1\tFront\tlawn\tpop-ups\t1,250\t4%\n"
    "2\tBed\tShrubs\tDrip\t80\t\n"
)


@pytest.fixture
def draft(owner: Browser, cast: Cast) -> SetUpDraft:
    made = start(owner)
    say(owner, made, "controllers", BOX)
    return made


def bring(browser: Browser, draft: SetUpDraft, **posted: Any) -> Any:
    draft.refresh_from_db()
    seen = {
        "seen": str(draft.data.get("table-1", {}).get("version", 0)),
        "seen-zones": str(draft.data.get("zones-1", {}).get("version", 0)),
    }
    return browser.post(reverse("desk:set-up-table", args=[draft.pk]) + "?box=1", seen | posted)


def columns(draft: SetUpDraft) -> dict[str, str]:
    draft.refresh_from_db()
    kept = draft.data["table-1"]["texts"]
    return {f"column-{n}": key for n, key in enumerate(kept["columns"])} | {
        "head": "yes" if kept["head"] else ""
    }


def zones(draft: SetUpDraft) -> list[dict[str, Any]]:
    draft.refresh_from_db()
    return list(draft.data.get("zones-1", {}).get("texts", {}).get("rows", []))


def test_a_pasted_table_is_matched_and_taken(owner: Browser, draft: SetUpDraft):
    assert bring(owner, draft, do="read", paste=GOOD).status_code == 302
    assert list(columns(draft).values())[:6] == [
        "number",
        "name",
        "plant:us",
        "head:us",
        "area:us",
        "slope:us",
    ]
    assert zones(draft) == [], "nothing is taken before somebody says so"
    answer = bring(owner, draft, do="take", **columns(draft))
    assert answer["Location"] == reverse("desk:set-up-zones", args=[draft.pk]) + "?box=1"
    first, second = zones(draft)
    assert (first["number"], first["name"], first["plant"], first["head"]) == (
        "1",
        "Front",
        "cool_turf",
        "spray",
    )
    assert (first["area"], first["slope"]) == ("1250", "4")
    assert (second["plant"], second["head"], second["area"]) == ("shrubs", "drip", "80")


def test_metric_heads_in_a_company_of_feet_are_converted(owner: Browser, draft: SetUpDraft):
    paste = (
        "Zone;Area m²;Root depth (cm);Precipitation rate (mm/h);Flow L/min\n1;100;25,4;12.7;37.85\n".replace(
            ",", "."
        )
    )
    bring(owner, draft, do="read", paste=paste)
    assert list(columns(draft).values())[:5] == [
        "number",
        "area:metric",
        "root:metric",
        "rate:metric",
        "flow:metric",
    ]
    bring(owner, draft, do="take", **columns(draft))
    (row,) = zones(draft)  # 100 m2 = 1076 ft2, 25.4 cm = 10 in, 12.7 mm/h = 0.5 in/h, 37.85 L/min = 10 gpm
    assert (row["area"], row["root"], row["rate"], row["flow"]) == ("1076", "10", "0.5", "10")


def test_errors_stand_by_row_and_column_and_nothing_is_half_taken(owner: Browser, draft: SetUpDraft):
    bad = GOOD + "2\tTwice\tmoss\tDrip\tmuch\t\n"
    bring(owner, draft, do="read", paste=bad)
    answer = bring(owner, draft, do="take", **columns(draft))
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "“moss” is not one of" in page
    assert "Type a number alone" in page
    assert "Another row has this number." in page
    assert zones(draft) == []
    left_out = columns(draft) | {"column-2": "", "column-4": "", "column-0": ""}
    assert bring(owner, draft, do="take", **left_out).status_code == 302
    assert [row["number"] for row in zones(draft)] == ["1", "2", "3"]


def test_files_are_opened(owner: Browser, draft: SetUpDraft):
    book = Workbook()
    book.active.append(["Zone", "Name", "Plants", "Sq ft"])
    book.active.append([1, "Front", "Lawn", 812.0])
    kept = io.BytesIO()
    book.save(kept)
    for name, content in (
        ("zones.xlsx", kept.getvalue()),
        ("zones.csv", b"\xef\xbb\xbfZone,Name,Plants,Sq ft\r\n1,Front,Lawn,812\r\n"),
        ("zones.csv", "Zone;Name;Plants;Sq ft\n1;Vord\xe9;Lawn;812\n".encode("cp1252")),
    ):
        bring(owner, draft, do="read", file=SimpleUploadedFile(name, content))
        assert list(columns(draft).values())[:4] == ["number", "name", "plant:us", "area:us"], name
        bring(owner, draft, do="take", how="instead", **columns(draft))
        (row,) = zones(draft)
        assert (row["plant"], row["area"]) == ("cool_turf", "812")


def bomb() -> bytes:
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b"0" * 60_000_000)
    return kept.getvalue()


@pytest.mark.parametrize(
    "content",
    [b"", b"\0\1\2" * 99, b"PK\3\4 broken", b"x" * 1_000_001, b"a,b\n" * 300, b"," * 60 + b"x", b'"open',
     b"%PDF-1.7\0\0", bomb],
    ids=["empty", "binary", "broken zip", "too large", "too long", "too wide", "open quote", "pdf", "bomb"],
)  # fmt: skip
def test_a_file_that_cannot_be_is_refused_in_words(owner: Browser, draft: SetUpDraft, content: Any):
    said = content() if callable(content) else content
    answer = bring(owner, draft, do="read", file=SimpleUploadedFile("zones.xlsx", said or b" "))
    assert answer.status_code in (422, 302)
    if said != b'"open':
        assert answer.status_code == 422, "an open quote is a cell of its own; nothing else here is a table"
    assert zones(draft) == []


def test_a_hostile_workbook_unpacks_to_nothing():
    with pytest.raises(Refused, match="unpacks to far more"):
        read_file("x.xlsx", bomb())


def test_a_template_can_be_taken_and_brought_back(owner: Browser, draft: SetUpDraft):
    answer = owner.get(reverse("desk:set-up-template", args=[draft.pk]))
    assert f"zones-{TODAY}.xlsx" in answer["Content-Disposition"], "the service's day, not the machine's"
    content = b"".join(answer.streaming_content)
    head = [cell.value for cell in next(load_workbook(io.BytesIO(content)).active.iter_rows())]
    assert head[:4] == ["Number", "Name", "Kind", "Area, ft²"]
    assert "" not in guess(head, "us"), "every column of our own table is known again"
    bring(owner, draft, do="read", file=SimpleUploadedFile("zones.xlsx", content))
    assert bring(owner, draft, do="take", **columns(draft)).status_code == 302
    assert zones(draft)[0]["area"] == "900"


def test_cells_between_tabs_semicolons_or_commas():
    assert read_text("a\tb\n1\t2") == [["a", "b"], ["1", "2"]]
    assert read_text("a;b\r\n1;2,5\r\n") == [["a", "b"], ["1", "2,5"]]
    assert read_text('a,b\n"1, 2",3\n\n') == [["a", "b"], ["1, 2", "3"]]
