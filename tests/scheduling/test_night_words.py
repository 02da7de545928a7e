"""The night's sentences date a day as the company does."""

from datetime import date

import pytest

from fleet.models import Company
from scheduling.services.night_report import COUNTS, CompanyPart, words_of


@pytest.mark.parametrize(
    ("units", "words"),
    [
        ("us", "Weather is complete up to Monday, July 6."),
        ("metric", "Weather is complete up to Monday 6 July."),
    ],
)
def test_a_day_is_written_as_the_company_writes_it(units: str, words: str):
    part = CompanyPart(company=Company(name="Rill", units=units))
    counts = dict.fromkeys(COUNTS, 0)
    said = words_of(part, counts, on=date(2026, 7, 7), observed=date(2026, 7, 6), fallback=0)
    assert said[0] == words
