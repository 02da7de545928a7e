"""The EPA's budget of a site's peak watering month, by hand."""

import pytest

from fleet.models import Zone
from reports.selectors.peak_month import peak_month
from tests.night.garden import Garden, garden
from weather.models import MonthlyNormal

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]


@pytest.fixture
def lawn() -> Garden:
    place = garden("Heron")
    for month, et, rain in ((6, 6.0, 4.0), (7, 6.0, 12.0), (8, 5.0, 0.0)):
        MonthlyNormal.objects.create(cell=place.cell, month=month, reference_et_mm=et, rain_mm=rain)
    Zone.objects.update(uniformity=0.65)
    return place


def test_what_the_peak_month_allows_and_what_zones_require(lawn: Garden):
    """June: 180 mm less 4 of rain, July 186 less 12. 0.70 x 180 x 200 m2 = 25,200 L are allowed.

    Cool turf takes 0.88 in June: (158.4 - a quarter of 4) x 200 / 0.65 = 48,430.77 L.
    """
    told = peak_month(lawn.site)
    assert told is not None
    assert told.month == 6
    assert told.allowed_l == pytest.approx(25_200.0)
    assert told.required_l == pytest.approx(48_430.77, abs=0.01)
    assert not told.met and told.left_out == []


def test_without_usual_weather_or_any_known_zone_there_is_none(lawn: Garden):
    Zone.objects.update(area_m2=None)
    assert peak_month(lawn.site) is None
    Zone.objects.update(area_m2=200.0)
    MonthlyNormal.objects.all().delete()
    assert peak_month(lawn.site) is None
