"""Water use of a site: estimated beside metered, alerts on the morning sheet until somebody answers."""

from datetime import timedelta
from typing import Any

import pytest

from reports.models import UseAlert
from tests.cast import Cast
from tests.night.garden import ON, garden, weather
from tests.reports.measured.test_look_at_use import hours, look
from weather.models import MonthlyNormal

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def test_an_alert_stands_on_the_morning_sheet_until_somebody_says_why(settings: Any, signed_in: Any) -> None:
    settings.AS_OF = ON
    place = garden(days="daily", minutes=40.0)
    weather(place.cell)
    hours(place, d3h12=400.0)
    look()
    owner, row = signed_in(place.owner), UseAlert.objects.get()
    told = "400 L through Street on Sat 11 Jul in hours no valve was due"
    assert told in text(owner.get("/"))
    page = text(owner.get(f"/sites/{place.site.pk}/use/"))
    assert told in page and "2 m³ counted, 1.6 m³ due" in page
    assert "July 2026" in page and "13 of 13" not in page
    refused = text(owner.post(f"/use/{row.pk}/put-aside/", {"why": ""}, follow=True))
    assert "Say why" in refused
    owner.post(f"/use/{row.pk}/put-aside/", {"why": "The pool was filled."})
    assert told not in text(owner.get("/"))
    assert "The pool was filled." in text(owner.get(f"/sites/{place.site.pk}/use/"))
    owner.post(f"/use/{row.pk}/show-again/")
    assert told in text(owner.get("/"))


def test_the_companys_budget_and_the_epas_stand_side_by_side(settings: Any, signed_in: Any) -> None:
    """A usual July of 6 mm a day: 0.70 x 186 mm x 200 m2 = 26,040 L are the EPA's."""
    settings.AS_OF = ON
    place = garden(days="daily")
    weather(place.cell)
    for month in range(1, 13):
        et = 6.0 if month == 7 else 3.0
        MonthlyNormal.objects.create(cell=place.cell, month=month, reference_et_mm=et, rain_mm=0.0)
    place.controller.zones.update(uniformity=0.65)
    page = text(signed_in(place.owner).get(f"/sites/{place.site.pk}/use/"))
    assert "the EPA's, a usual July: 70 % of reference ET</dt> <dd> 26 m³" in page
    assert "beyond it" in page  # cool turf takes 0.94 of it, over 0.65
    assert "the company's, this year: 70 % of reference ET" in page


def test_a_client_finds_no_such_page(cast: Cast, signed_in: Any) -> None:
    meter = cast.site.meters.create(name="Main", unit="kgal")
    day = cast.run.date - timedelta(days=2)
    said = {"kind": "idle", "litres": 9, "evidence": {"days": []}, "found_on": day}
    row = meter.use_alerts.create(first=day, last=day, **said)
    browser = signed_in(cast.client_person)
    assert browser.get(f"/sites/{cast.site.pk}/use/").status_code == 404
    assert browser.post(f"/use/{row.pk}/put-aside/", {"why": "x"}).status_code == 404
