"""The clients list as a file, read back with the libraries that people's programs use."""

import csv
import io
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from openpyxl import load_workbook

from desk.spreadsheets import file_name, opens_a_formula
from fleet.models import Client as Client_
from fleet.models import Company, User
from tests.cast import TODAY, Cast
from tests.large import Large, large_company

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]
SignedIn = Callable[[User], Client]

HOSTILE = (
    "=1+1",
    "+SUM(A1)",
    "-2+3",
    "@SUM(1)",
    "\t=1",
    "\r=1",
    " =1",
    "＝1+1",
    "＋1",
    "－1",
    "＠x",
    '=HYPERLINK("http://x.invalid","y")',
    'a "quoted", name',
    "two\nlines",
    "مدرسة",
    "🌱 garden",
    "\x07bell",
)


@pytest.fixture
def large(db: None) -> Large:
    return large_company(24, on=TODAY)


def body(answer: Any) -> bytes:
    return b"".join(answer.streaming_content)


def read_csv(answer: Any) -> list[list[str]]:
    data = body(answer)
    assert data.startswith(b"\xef\xbb\xbf")
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def read_xlsx(answer: Any) -> list[list[Any]]:
    sheet = load_workbook(io.BytesIO(body(answer))).active
    assert sheet is not None
    return [list(row) for row in sheet.iter_rows()]


def named(company: Company) -> None:
    Client_.objects.all().delete()
    Client_.objects.bulk_create(Client_(company=company, name=name) for name in HOSTILE)


def test_hostile_names_are_texts_in_csv(cast: Cast, signed_in: SignedIn) -> None:
    named(cast.company)
    rows = read_csv(signed_in(cast.owner).get("/clients/list.csv"))
    assert len(rows) == len(HOSTILE) + 1
    told = {row[0] for row in rows}
    for name in HOSTILE:
        text = name.replace("\x07", "")
        assert (f"'{text}" if opens_a_formula(text) else text) in told
    for row in rows:
        assert not any(opens_a_formula(cell) for cell in row)


def test_hostile_names_are_texts_in_xlsx_and_nothing_is_a_formula(cast: Cast, signed_in: SignedIn) -> None:
    named(cast.company)
    rows = read_xlsx(signed_in(cast.owner).get("/clients/list.xlsx"))
    told = {row[0].value for row in rows}
    for name in HOSTILE:
        assert name.replace("\x07", "").replace("\r", "\n") in {t.replace("\r", "\n") for t in told}
    assert {cell.data_type for row in rows for cell in row} <= {"s", "n", "d"}
    assert all(row[0].data_type == "s" for row in rows)
    assert next(row[0] for row in rows if row[0].value == "=1+1").quotePrefix


def test_numbers_stay_numbers_and_dates_dates(large: Large, signed_in: SignedIn) -> None:
    large.company.units = "metric"
    large.company.save()
    browser = signed_in(large.owner)
    head, *rows = read_csv(browser.get("/clients/list.csv?sort=saved"))
    assert head[3] == "Saved in 2026 to date, estimated (m³)"
    assert head[6] == "Need met in 2026 to date (%)"
    assert float(rows[0][3]) > 0
    assert {date.fromisoformat(row[11]) for row in rows if row[11]}
    assert any(row[3] == "" for row in rows), "somebody without figures, and no nought"
    sheet = read_xlsx(browser.get("/clients/list.xlsx?sort=saved"))
    assert sheet[1][3].value == pytest.approx(float(rows[0][3]))
    assert {type(row[11].value) for row in sheet[1:]} <= {datetime, type(None)}


def test_a_file_holds_what_the_list_shows_in_its_order(large: Large, signed_in: SignedIn) -> None:
    browser = signed_in(large.owner)
    for query in ("sort=used&way=up", "open=decide", "words=client 000", "season=closed&sort=next"):
        page = browser.get(f"/clients/?{query}")
        shown = [row.client.name for row in page.context["rows"]]
        assert shown
        assert [row[0] for row in read_csv(browser.get(f"/clients/list.csv?{query}"))[1:]] == shown
        assert [row[0].value for row in read_xlsx(browser.get(f"/clients/list.xlsx?{query}"))[1:]] == shown


def test_a_file_holds_every_page(signed_in: SignedIn) -> None:
    browser = signed_in(large_company(450, on=TODAY, months=1).owner)
    rows = read_csv(browser.get("/clients/list.csv?page=2"))[1:]
    assert [row[0] for row in rows] == [f"Client {n:04d}" for n in range(450)]


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_a_file_is_sent_as_it_is_read_in_few_queries(large: Large, signed_in: SignedIn, kind: str) -> None:
    browser = signed_in(large.owner)
    with CaptureQueriesContext(connection) as seen:
        answer: Any = browser.get(f"/clients/list.{kind}")
        assert answer.streaming
        body(answer)
    assert len(seen) == 14
    assert f"clients-wide-valley-irrigation-2026-07-06.{kind}" in answer["Content-Disposition"]
    assert "no-store" in answer["Cache-Control"]


def test_nobody_else_gets_the_file(large: Large, cast: Cast, signed_in: SignedIn) -> None:
    for kind in ("csv", "xlsx"):
        assert signed_in(cast.client_person).get(f"/clients/list.{kind}").status_code == 404
        assert Client().get(f"/clients/list.{kind}").status_code == 302
        assert signed_in(large.owner).post(f"/clients/list.{kind}").status_code == 405
    told = read_csv(signed_in(cast.technician).get("/clients/list.csv"))
    assert [row[0] for row in told[1:]] == [cast.client.name]


def test_a_company_without_clients_gets_a_file_with_heads_alone(cast: Cast, signed_in: SignedIn) -> None:
    cast.client.delete()
    assert len(read_csv(signed_in(cast.owner).get("/clients/list.csv"))) == 1
    assert len(read_xlsx(signed_in(cast.owner).get("/clients/list.xlsx"))) == 1


def test_a_file_name_is_tame_whatever_the_company_is_called() -> None:
    assert file_name("clients", '../"Evil"\r\n Co', TODAY, "csv") == "clients-evil-co-2026-07-06.csv"
    assert file_name("clients", "!!!", TODAY, "xlsx") == "clients-company-2026-07-06.xlsx"
