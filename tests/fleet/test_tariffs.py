"""A tariff's tiers by the day of the year."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError

from fleet.models import Tariff
from fleet.models.tariffs import MOST_TIERS, tiers_of


def tier(above: str, price: str, *season: str) -> dict[str, str]:
    return dict(zip(("above", "price", "season_from", "season_to"), (above, price, *season), strict=False))


SUMMER = [tier("0", "2"), tier("10", "3"), tier("0", "4", "05-01", "09-30"), tier("8", "6", "05-01", "09-30")]
WINTER = [tier("0", "2"), tier("0", "1", "11-01", "03-31")]


@pytest.mark.parametrize(
    ("rows", "day", "prices"),
    [
        (SUMMER, date(2026, 4, 30), ["2", "3"]),
        (SUMMER, date(2026, 5, 1), ["4", "6"]),
        (SUMMER, date(2026, 9, 30), ["4", "6"]),
        (SUMMER, date(2026, 10, 1), ["2", "3"]),
        (WINTER, date(2026, 12, 31), ["1"]),
        (WINTER, date(2028, 2, 29), ["1"]),
        (WINTER, date(2026, 4, 1), ["2"]),
        ([], date(2026, 7, 1), []),
    ],
)
def test_the_tiers_of_a_day(rows, day, prices):
    tariff = Tariff(tiers=[one.kept() for one in tiers_of(rows)])
    assert [str(one.price) for one in tariff.tiers_on(day)] == prices


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ([tier("0", "1", "01-01", "06-30"), tier("0", "2", "06-30", "12-31")], "Two seasons hold on 06-30"),
        ([tier("0", "1", "01-01", "06-30")], "No tier holds on 07-01"),
        ([tier("0", "-1")], "lies between"),
        ([tier("0", "NaN")], "lies between"),
        ([tier("0", "1e99")], "lies between"),
        ([tier("0", "0.0000001")], "6 decimals"),
        ([{"above": "0"}], "price as a number"),
        ([{"from": "0", "price": "1"}], "Each tier has"),
        ([tier(str(n), "1") for n in range(MOST_TIERS + 1)], "tiers at the most"),
    ],
)
def test_what_no_bill_has_is_refused(rows, says):
    with pytest.raises(ValidationError, match=says):
        tiers_of(rows)
