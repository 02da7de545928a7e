"""Every published case is met, and the page that shows them can't drift from what is computed."""

import json

import pytest

from tests.accuracy.__main__ import DOCUMENT, PAGE, document
from tests.accuracy.cases import CASES, Case


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.what)
def test_a_published_number_is_met(case: Case):
    assert case.compute() == pytest.approx(case.printed, abs=case.within)


def test_the_page_shows_every_case_as_it_is_computed():
    shown = json.loads(PAGE.read_text())
    assert [one["what"] for one in shown["cases"]] == [case.what for case in CASES]
    for one, case in zip(shown["cases"], CASES, strict=True):
        assert one["computed"] == pytest.approx(case.compute(), rel=1e-5)
        assert (one["printed"], one["within"], one["source"]) == (case.printed, case.within, case.source)


def test_the_document_is_the_page():
    assert DOCUMENT.read_text() == document(json.loads(PAGE.read_text()))


def test_every_target_shown_is_met():
    for one in json.loads(PAGE.read_text())["targets"]:
        assert one["ratio"] <= one["target"]
        assert one["adequacy"] >= 0.99
        assert one["excess"] <= 0.01
