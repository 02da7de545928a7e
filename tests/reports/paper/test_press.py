"""Documents: text as it is, tagged, the same bytes for the same data, from several threads at once."""

import io
from concurrent.futures import ThreadPoolExecutor
from datetime import date

import pytest
from pypdf import PdfReader

from reports.paper.press import pdf, sheets

ON = date(2026, 7, 14)
CARD = {
    "company": {"name": "Larkspur #panic() *b* $y$", "lines": ["1 Mill Lane", "555 0100"]},
    "paper": "a4",
    "card": {
        "title": 'Yard #read("/etc/passwd") ő Ж',
        "client": "Mrs. \\ Test",
        "address": "",
        "as_of": "Tuesday 14 July",
        "facts": [["Cycle and soak", "at the controller"]],
        "programs": [
            {
                "title": "Program A",
                "days": "every day",
                "starts": [],
                "percent": "90 %",
                "lines": [
                    {
                        "number": 1,
                        "name": "Lawn",
                        "minutes": "12 min",
                        "runs": "10.8 min",
                        "cycles": "",
                        "apart": "",
                    }
                ],
                "total": "10.8 min",
            }
        ],
        "by_starts": False,
        "apart": ["Zone 1 is off."],
        "warnings": ["Look for runoff."],
        "cautions": ["Take care."],
    },
}


def text_of(made: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(made)).pages)


def test_text_is_set_as_it_is():
    text = text_of(pdf("card", CARD, on=ON))
    for word in (
        "Larkspur #panic() *b* $y$",
        'Yard #read("/etc/passwd") ő Ж',
        "10.8 min",
        "Look for runoff.",
    ):
        assert word in text


def test_it_is_tagged_titled_and_says_its_language():
    reader = PdfReader(io.BytesIO(pdf("card", CARD, on=ON)))
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert "/StructTreeRoot" in root
    assert reader.metadata.title.startswith("Controller card, Yard")
    assert b"pdfuaid:part" in root["/Metadata"].get_data()


def test_paper_is_as_the_country_has_it():
    for paper, width in (("a4", 595.3), ("us-letter", 612.0)):
        page = PdfReader(io.BytesIO(pdf("card", CARD | {"paper": paper}, on=ON))).pages[0]
        assert float(page.mediabox.width) == pytest.approx(width, abs=0.1)


def test_signs_no_font_has_do_not_stop_it():
    card = CARD["card"] | {"title": "\U0001f331 \u05e9\u05dc\u05d5\u05dd \U000e0041"}
    assert pdf("card", CARD | {"card": card}, on=ON).startswith(b"%PDF")


def test_same_data_same_bytes_also_from_threads():
    with ThreadPoolExecutor(4) as pool:
        made = list(pool.map(lambda _: pdf("card", CARD, on=ON), range(12)))
    assert len(set(made)) == 1


def test_no_such_sheet():
    assert sheets() == ["card", "pack", "summary", "year_card"]
    with pytest.raises(ValueError, match="accepted are card, pack, summary, year_card"):
        pdf("../house", CARD, on=ON)


def test_what_the_sheet_does_not_find_is_an_error():
    with pytest.raises(RuntimeError, match="card"):
        pdf("card", {"company": CARD["company"], "paper": "a4"}, on=ON)
