"""The window of days: every fallback in its order, nothing from the future, few queries."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from tests.weather.conftest import ON, TIMEZONE, a_cell, ago, many_cells, observed
from weather.models import ForecastDay, MonthlyNormal, ObservedDay
from weather.season import Kind, weather_window

pytestmark = pytest.mark.django_db

NOON = datetime.combine(ON, time(12), ZoneInfo(TIMEZONE))


def issued(days_ago: int, hour: int = 5) -> datetime:
    return datetime.combine(ago(days_ago), time(hour), ZoneInfo(TIMEZONE))


def foreseen(cell, day: date, *, at: datetime, **fields: object) -> ForecastDay:
    usual = {"reference_et_mm": 7.0, "rain_mm": 0.0, "t_min_c": 14.0, "wind_2m_m_s": 2.0}
    return ForecastDay.objects.create(cell=cell, date=day, issued_at=at, **(usual | fields))


def normal(cell, month: int, et_mm: float) -> None:
    MonthlyNormal.objects.create(cell=cell, month=month, reference_et_mm=et_mm, rain_mm=9.0)


def window(*cells, back: int = 10, ahead: int = 7, known_by: datetime = NOON):
    return weather_window(cells=list(cells), first=ago(back), on=ON, last=ago(-ahead), known_by=known_by)


def at(found, day: date):
    """Return reference ET, kind and rain kind of a day in the first column."""
    row = (day - found.first).days
    return found.reference_et_mm[row, 0], Kind(found.kind[row, 0]), Kind(found.rain_kind[row, 0])


def test_days_are_rows_and_cells_are_columns(cells):
    observed(cells[1], ago(2), reference_et_mm=5.1, rain_mm=3.0, t_min_c=12.0, t_max_c=30.0, wind_2m_m_s=1.5)
    found = window(*cells)
    assert found.reference_et_mm.shape == (18, 3)
    assert found.on_row == 10
    assert list(found.cell_ids) == [cell.pk for cell in cells]
    assert (found.reference_et_mm[8, 1], found.rain_mm[8, 1]) == (5.1, 3.0)
    assert (found.t_min_c[8, 1], found.wind_2m_m_s[8, 1]) == (12.0, 1.5)


def test_an_observed_day_is_used_before_anything_else(cell):
    observed(cell, ago(1), reference_et_mm=5.0)
    foreseen(cell, ago(1), at=issued(1))
    normal(cell, 7, 6.5)
    assert at(window(cell), ago(1)) == (5.0, Kind.OBSERVED, Kind.OBSERVED)


def test_the_latest_forecast_stands_in_for_a_missing_day(cell):
    observed(cell, ago(2))
    foreseen(cell, ago(1), at=issued(2), reference_et_mm=6.8, rain_mm=1.0)
    foreseen(cell, ago(1), at=issued(1), reference_et_mm=7.1, rain_mm=4.0)
    found = window(cell)
    assert at(found, ago(1)) == (7.1, Kind.STAND_IN, Kind.STAND_IN)
    assert found.rain_mm[9, 0] == 4.0


@pytest.mark.parametrize(("days_before", "used"), [(0, True), (3, True), (4, False)])
def test_a_forecast_stands_in_only_if_issued_at_most_three_days_before(cell, days_before, used):
    foreseen(cell, ago(5), at=issued(5 + days_before), reference_et_mm=6.8)
    normal(cell, 7, 6.5)
    assert at(window(cell), ago(5))[0] == (6.8 if used else 6.5)


def test_without_a_forecast_the_normal_stands_in_and_rain_is_unknown(cell):
    normal(cell, 7, 6.5)
    found = window(cell)
    assert at(found, ago(1)) == (6.5, Kind.NORMAL, Kind.NONE)
    assert found.rain_mm[9, 0] == 0.0


def test_without_normals_the_mean_of_the_seven_nearest_observed_days_stands_in(cell):
    for days, et_mm in [
        (9, 4.0),
        (8, 4.0),
        (7, 4.0),
        (5, 6.0),
        (4, 6.0),
        (3, 6.0),
        (2, 5.0),
        (1, 1.0),
    ]:
        observed(cell, ago(days), reference_et_mm=et_mm)
    found = window(cell)
    assert at(found, ago(6)) == (pytest.approx(35 / 7), Kind.RECENT, Kind.NONE)


def test_unknown_rain_of_an_observed_day_is_credited_nothing_and_marked(cell):
    observed(cell, ago(1), rain_mm=None)
    foreseen(cell, ago(1), at=issued(1), rain_mm=8.0)
    found = window(cell)
    assert at(found, ago(1)) == (6.0, Kind.OBSERVED, Kind.NONE)
    assert found.rain_mm[9, 0] == 0.0


def test_rain_that_was_observed_counts_though_the_rest_of_the_day_is_missing(cell):
    observed(cell, ago(1), reference_et_mm=None, rain_mm=5.0)
    foreseen(cell, ago(1), at=issued(1), rain_mm=8.0)
    found = window(cell)
    assert at(found, ago(1)) == (7.0, Kind.STAND_IN, Kind.OBSERVED)
    assert found.rain_mm[9, 0] == 5.0


def test_coming_days_take_the_latest_forecast(cell):
    foreseen(cell, ago(-2), at=issued(1), reference_et_mm=6.1)
    foreseen(cell, ago(-2), at=issued(0), reference_et_mm=7.4, rain_mm=3.0)
    found = window(cell)
    assert at(found, ago(-2)) == (7.4, Kind.FORECAST, Kind.FORECAST)
    assert (found.rain_mm[12, 0], found.t_min_c[12, 0]) == (3.0, 14.0)


@pytest.mark.parametrize(("age", "used"), [(3, True), (4, False)])
def test_a_forecast_older_than_three_days_is_none(cell, age, used):
    foreseen(cell, ON, at=issued(age), reference_et_mm=7.4)
    normal(cell, 7, 6.5)
    assert at(window(cell), ON)[0] == (7.4 if used else 6.5)


def test_beyond_the_forecast_come_normals_of_the_days_month_without_rain(cell):
    foreseen(cell, ON, at=issued(0), rain_mm=2.0)
    normal(cell, 7, 6.5)
    normal(cell, 8, 5.9)
    found = weather_window(cells=[cell], first=ago(3), on=ON, last=date(2026, 8, 2), known_by=NOON)
    assert at(found, date(2026, 7, 31)) == (6.5, Kind.NORMAL, Kind.NONE)
    assert at(found, date(2026, 8, 1)) == (5.9, Kind.NORMAL, Kind.NONE)
    assert found.rain_mm[4:].sum() == 0.0


def test_without_normals_coming_days_take_the_mean_of_the_last_fourteen_known_ones(cell):
    for days in range(1, 21):
        observed(cell, ago(days), reference_et_mm=5.0 if days <= 14 else 9.0)
    found = window(cell, back=20)
    assert at(found, ago(-3)) == (5.0, Kind.RECENT, Kind.NONE)


def test_a_cell_nobody_knows_anything_of_is_marked_and_has_no_number(cell):
    found = window(cell)
    assert set(found.kind.flat) == {Kind.NONE}
    assert np.isnan(found.reference_et_mm).all()
    assert found.observed_through == (None,)
    assert found.fallback_days.tolist() == [10]


def test_it_says_how_far_observations_go_for_each_cell(cells):
    observed(cells[0], ago(1))
    observed(cells[1], ago(4))
    observed(cells[1], ago(6))
    found = window(*cells)
    assert found.observed_through == (ago(1), ago(4), None)
    assert found.fallback_days.tolist() == [0, 3, 10]


def test_a_day_inside_that_is_missing_is_no_trailing_day(cell):
    observed(cell, ago(1))
    observed(cell, ago(3))
    assert window(cell).fallback_days.tolist() == [0]


def test_nothing_issued_after_the_decision_is_looked_at(cell):
    foreseen(cell, ON, at=issued(1), reference_et_mm=6.1)
    foreseen(cell, ON, at=issued(0, hour=16), reference_et_mm=7.4)
    assert at(window(cell), ON)[0] == 6.1
    afternoon = window(cell, known_by=NOON + timedelta(hours=5))
    assert at(afternoon, ON)[0] == 7.4


def test_no_observed_day_from_the_morning_on_is_looked_at(cell):
    """Rows from later are there, as in a replay; nothing in the window may change because of them."""
    for days in range(1, 11):
        observed(cell, ago(days), reference_et_mm=5.0)
    foreseen(cell, ON, at=issued(0), rain_mm=3.0)
    before = window(cell)
    for days in range(8):
        observed(cell, ago(-days), reference_et_mm=1.0, rain_mm=20.0)
        foreseen(cell, ago(-days), at=issued(-1), reference_et_mm=1.0, rain_mm=20.0)
    after = window(cell)
    for name in ("reference_et_mm", "rain_mm", "kind", "rain_kind", "t_min_c", "rain_credit"):
        np.testing.assert_array_equal(getattr(before, name), getattr(after, name))


def test_forecast_days_are_counted_in_the_cells_own_time_zone():
    """At 02:00 UTC on the 12th it is still the 11th in California: three days before the 14th."""
    here, there = a_cell(0), a_cell(1, timezone="Asia/Tokyo")
    early = datetime(2026, 7, 11, 2, 0, tzinfo=UTC)
    for cell in (here, there):
        foreseen(cell, ON, at=early, reference_et_mm=7.4)
        normal(cell, 7, 6.5)
    found = window(here, there)
    assert found.reference_et_mm[10].tolist() == [6.5, 7.4]


@pytest.mark.parametrize("count", [1, 40])
def test_the_number_of_queries_is_fixed(count, django_assert_num_queries):
    cells = many_cells(count)
    ObservedDay.objects.bulk_create(
        ObservedDay(cell=cell, date=ago(days), reference_et_mm=5.0) for cell in cells for days in range(3, 20)
    )
    with django_assert_num_queries(4):
        window(*cells, back=30)


def test_days_out_of_order_are_refused(cell):
    with pytest.raises(ValueError, match="must lie within"):
        weather_window(cells=[cell], first=ON, on=ago(1), last=ON, known_by=NOON)


def test_no_cells_give_an_empty_window(db):
    assert window().reference_et_mm.shape == (18, 0)
