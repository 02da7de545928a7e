"""Normals: means of the stored days of a month, or none."""

from datetime import date, timedelta

import pytest

from tests.weather.conftest import observed
from weather.models import MonthlyNormal
from weather.services.normals import rebuild_normals
from weather.tasks import rebuild_all_normals

pytestmark = pytest.mark.django_db


def july(cell, days: int, *, year: int = 2025, **fields: object) -> None:
    for n in range(days):
        observed(cell, date(year, 7, 1) + timedelta(days=n), **fields)


def test_a_month_is_the_mean_of_its_days_over_all_years(cell):
    july(cell, 20, year=2024, reference_et_mm=6.0)
    july(cell, 20, year=2025, reference_et_mm=7.0)
    assert rebuild_normals() == 1
    normal = MonthlyNormal.objects.get()
    assert (normal.month, normal.reference_et_mm, normal.days_used) == (7, 6.5, 40)


def test_rain_is_for_the_whole_month(cell):
    """0.5 mm a day over 31 days."""
    july(cell, 20, rain_mm=0.5)
    rebuild_normals()
    assert MonthlyNormal.objects.get().rain_mm == 15.5


def test_unknown_rain_does_not_count_as_none(cell):
    july(cell, 20, year=2024, rain_mm=1.0)
    july(cell, 20, year=2025, rain_mm=None)
    rebuild_normals()
    assert MonthlyNormal.objects.get().rain_mm == 31.0


def test_rain_known_on_fewer_than_20_days_is_unknown(cell):
    july(cell, 19, year=2024, rain_mm=1.0)
    july(cell, 20, year=2025, rain_mm=None)
    rebuild_normals()
    assert MonthlyNormal.objects.get().rain_mm is None


@pytest.mark.parametrize(("days", "months"), [(19, 0), (20, 1)])
def test_a_month_needs_twenty_days(cell, days, months):
    july(cell, days)
    assert rebuild_normals() == months


def test_rebuilding_replaces(cell):
    july(cell, 20, reference_et_mm=6.0)
    rebuild_normals()
    july(cell, 20, year=2024, reference_et_mm=8.0)
    rebuild_all_normals()
    assert MonthlyNormal.objects.get().reference_et_mm == 7.0


def test_days_from_a_date_on_can_be_left_out(cell):
    july(cell, 20, year=2024, reference_et_mm=6.0)
    july(cell, 20, year=2025, reference_et_mm=8.0)
    rebuild_normals(before=date(2025, 1, 1))
    assert MonthlyNormal.objects.get().reference_et_mm == 6.0


def test_only_the_cells_given_are_rebuilt(cells):
    for cell in cells:
        july(cell, 20)
    assert rebuild_normals(cells=cells[:1]) == 1
