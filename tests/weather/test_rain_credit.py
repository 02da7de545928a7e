"""What a source's rain forecasts have earned: worked by hand from a few pairs of foretold and fallen rain."""

from datetime import timedelta

import pytest

from tests.weather.conftest import ago, observed
from tests.weather.test_window import foreseen, issued, window

pytestmark = pytest.mark.django_db


def pair(cell, days_ago: int, *, said: float, fell: float | None, lead: int = 1, **fields: object) -> None:
    """Store rain foretold ``lead`` days ahead and what then fell."""
    foreseen(cell, ago(days_ago), at=issued(days_ago + lead), rain_mm=said, **fields)
    observed(cell, ago(days_ago), rain_mm=fell)


def credit(cell, **how) -> float:
    return window(cell, **how).rain_credit[0]


def test_it_is_the_share_of_foretold_rain_that_fell(cell):
    """Said 10 + 5 + 5 + 10 + 10 = 40, fell 8 + 0 + 5 + 9 + 2 = 24: 0.6."""
    for days_ago, (said, fell) in enumerate([(10, 8), (5, 0), (5, 5), (10, 9), (10, 2)], start=1):
        pair(cell, days_ago, said=said, fell=fell)
    assert credit(cell) == pytest.approx(0.6)


def test_with_fewer_than_five_days_it_is_seven_tenths(cell):
    for days_ago in range(1, 5):
        pair(cell, days_ago, said=10, fell=10)
    assert credit(cell) == 0.7


def test_without_any_forecast_it_is_seven_tenths(cell):
    observed(cell, ago(1), rain_mm=10)
    assert credit(cell) == 0.7


@pytest.mark.parametrize(("fell", "earned"), [(0.0, 0.3), (2.0, 0.3), (25.0, 1.0)])
def test_it_is_never_below_three_tenths_nor_above_one(cell, fell, earned):
    for days_ago in range(1, 7):
        pair(cell, days_ago, said=10, fell=fell)
    assert credit(cell) == earned


def test_rain_that_nobody_foretold_earns_nothing(cell):
    for days_ago in range(1, 6):
        pair(cell, days_ago, said=10, fell=5)
    pair(cell, 8, said=0, fell=50)
    assert credit(cell) == pytest.approx(0.5)


def test_days_with_unknown_rain_are_no_pairs(cell):
    for days_ago in range(1, 6):
        pair(cell, days_ago, said=10, fell=5)
    pair(cell, 7, said=100, fell=None)
    assert credit(cell) == pytest.approx(0.5)


@pytest.mark.parametrize(("lead", "counts"), [(0, False), (1, True), (3, True), (4, False)])
def test_only_forecasts_one_to_three_days_ahead_count(cell, lead, counts):
    for days_ago in range(1, 6):
        pair(cell, days_ago, said=10, fell=5, lead=lead)
    assert credit(cell) == pytest.approx(0.5 if counts else 0.7)


def test_of_two_forecasts_of_one_morning_the_later_counts(cell):
    for days_ago in range(1, 6):
        pair(cell, days_ago, said=10, fell=4)
        foreseen(cell, ago(days_ago), at=issued(days_ago + 1, hour=16), rain_mm=5)
    assert credit(cell, known_by=issued(0, hour=17)) == pytest.approx(0.8)


def test_forecasts_asked_for_after_the_fact_earn_nothing(cell):
    for days_ago in range(1, 7):
        pair(cell, days_ago, said=10, fell=10, quality="analysis")
    assert credit(cell) == 0.7


def test_pairs_from_before_the_window_count_for_half_a_year(cell):
    for days_ago in range(100, 105):
        pair(cell, days_ago, said=10, fell=5)
    for days_ago in range(190, 200):
        pair(cell, days_ago, said=10, fell=10)
    assert credit(cell) == pytest.approx(0.5)


def test_each_cell_has_its_own_record(cells):
    for days_ago in range(1, 6):
        pair(cells[0], days_ago, said=10, fell=9)
        pair(cells[1], days_ago, said=10, fell=4)
    assert window(*cells).rain_credit == pytest.approx([0.9, 0.4, 0.7])


def test_only_forecast_rain_is_cut_to_what_is_earned(cell):
    observed(cell, ago(2), rain_mm=10)
    foreseen(cell, ago(1), at=issued(1), rain_mm=10)
    foreseen(cell, ago(-1), at=issued(0), rain_mm=10)
    found = window(cell)
    assert found.credited_rain_mm[[8, 9, 11], 0] == pytest.approx([10.0, 7.0, 7.0])


def test_what_was_not_yet_issued_earns_nothing(cell):
    for days_ago in range(1, 10):
        pair(cell, days_ago, said=10, fell=5)
    assert credit(cell, known_by=issued(7, hour=12)) == 0.7


def test_later_forecasts_and_days_change_nothing(cell):
    for days_ago in range(1, 6):
        pair(cell, days_ago, said=10, fell=5)
    for days in range(5):
        pair(cell, -days, said=10, fell=10)
        foreseen(cell, ago(3), at=issued(0) + timedelta(hours=20, minutes=days), rain_mm=99)
    assert credit(cell) == pytest.approx(0.5)
