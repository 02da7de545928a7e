"""A site's water budget, and use beside it; reckoned by hand."""

from datetime import date, timedelta
from typing import Any

import pytest
from rest_framework.test import APIClient

from fleet.models import Company, Site, Zone
from reports.selectors.budget import site_budget
from reports.selectors.savings import client_savings
from scheduling.models import Setting
from tests.night.garden import ON, Garden, garden, weather
from weather.models import MonthlyNormal

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]
DAY = timedelta(days=1)
FIRST, LAST = ON - 5 * DAY, ON - DAY


@pytest.fixture
def lawn(settings: Any) -> Garden:
    """200 m2 of lawn under sprays, 4 mm of reference ET a day."""
    settings.AS_OF = ON
    place = garden("Heron", minutes=40.0, days="daily")
    weather(place.cell, et_mm=4.0)
    return place


def budget(place: Garden, first: date = FIRST, last: date = LAST) -> Any:
    site = Site.objects.select_related("client__company", "cell").get(pk=place.site.pk)
    return site_budget(site, first=first, last=last, on=ON)


def test_a_site_is_allowed_a_share_of_the_et_on_its_area(lawn: Garden):
    found = budget(lawn)
    assert (found.et_mm, found.area_m2) == (pytest.approx(20.0), 200.0)
    assert found.allowed_l == pytest.approx(0.7 * 20 * 200)
    # cool-season turf takes 0.788 of ET in the mean of the months (UC, Table 1), over 0.75 for heads
    assert found.expected_l == pytest.approx(0.7875 / 0.75 * 20 * 200)
    assert found.usual_days == 0
    assert found.share(1_400.0) == pytest.approx(0.5)
    Company.objects.update(budget_factor=0.55)
    assert budget(lawn).allowed_l == pytest.approx(0.55 * 20 * 200)


def test_reclaimed_water_counts_in_full(lawn: Garden):
    lawn.controller.source.kind = "reclaimed"
    lawn.controller.source.save()
    found = budget(lawn)
    assert found.allowed_l == found.expected_l == pytest.approx(20 * 200)
    assert found.special_m2 == 200.0


def test_a_zone_without_an_area_is_named(lawn: Garden):
    Zone.objects.update(area_m2=None)
    found = budget(lawn)
    assert found.allowed_l is None and found.share(1.0) is None
    assert found.left_out == ["zone 1: no area"]


def test_days_without_weather_go_by_what_is_usual(lawn: Garden):
    MonthlyNormal.objects.create(cell=lawn.cell, month=12, reference_et_mm=1.0, days_used=300)
    found = budget(lawn, date(ON.year, 12, 1), date(ON.year, 12, 31))
    assert found.et_mm == pytest.approx(31.0)
    assert found.usual_days == 31


def test_use_is_told_against_the_budget_of_the_same_days(lawn: Garden):
    Setting.objects.create(program=lawn.program, percent=60, effective_from=FIRST)
    told = client_savings(lawn.client, first=FIRST, last=LAST, on=ON)
    assert told.budget_l == pytest.approx(0.7 * 20 * 200)
    assert told.of_budget == pytest.approx(5_440 / 2_800)


def test_the_interface_tells_it(lawn: Garden):
    api = APIClient()
    api.force_authenticate(lawn.owner)
    at = f"/api/v1/sites/{lawn.site.pk}/budget/"
    found = api.get(at, {"from": FIRST.isoformat(), "to": LAST.isoformat()}).json()
    assert found["allowed_l"] == pytest.approx(2_800.0)
    assert api.get(at, {"from": "2026-07-02", "to": "2026-07-01"}).status_code == 400
