"""Water held back by a town's stage is told wherever need, percents, plans or savings are shown."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client as Browser

from desk.cut_words import COUNTED, held_lines
from fleet.models import Town, Zone, ZoneCut
from scheduling.models import Change
from scheduling.selectors.cuts import PlantsHeld
from scheduling.services.nightly import run_night
from tests.cast import reader
from tests.desk.papers import paper
from tests.night.garden import ON, TIMEZONE, Garden, garden, weather
from weather.models import MonthlyNormal

pytestmark = pytest.mark.django_db
REASON = "Upper Vale, stage 2: 20 % less water"
TOLD = (
    f"{REASON}. Cool-season turf (1 zone) held at 55 % of the need; shrubs (1 zone) held at 80 % of the need."
)


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


@pytest.fixture
def place(settings: Any) -> Garden:
    settings.AS_OF = ON
    settings.WEATHER_SOURCE = "invented"
    made = garden(minutes=40.0, zones=3, percent=170, units="us")
    made.client.access_from = date(2026, 5, 1)
    made.client.save()
    Zone.objects.filter(pk=made.zones[1].pk).update(plant="shrubs")
    Zone.objects.filter(pk=made.zones[2].pk).update(plant="trees")
    weather(made.cell)
    MonthlyNormal.objects.bulk_create(
        MonthlyNormal(cell=made.cell, month=n, reference_et_mm=4.0, days_used=90) for n in range(1, 13)
    )
    town = Town.objects.create(company=made.company, name="Upper Vale", stage=2)
    for zone, factor in zip(made.zones, (0.55, 0.8), strict=False):
        ZoneCut.objects.create(
            zone=zone, town=town, factor=factor, reason=REASON, effective_from=ON - timedelta(days=3)
        )
    return made


def test_every_page_with_a_need_or_a_percent_tells_it(place: Garden):
    run_night(on=ON, timezone=TIMEZONE)
    change = Change.objects.get(kind="percent")
    browser = Browser()
    browser.force_login(place.owner)
    box = place.controller.pk
    for address in (
        f"/sites/{place.site.pk}/",
        f"/clients/{place.client.pk}/",
        f"/changes/{change.pk}/",
        f"/controllers/{box}/plan/",
        f"/controllers/{box}/plan/adopt/",
        f"/controllers/{box}/card/",
    ):
        page = text(browser.get(address))
        assert TOLD in page, address
        assert COUNTED in page, address
    for address in (f"/controllers/{box}/card/card.pdf", f"/clients/{place.client.pk}/pack.pdf"):
        assert TOLD in paper(browser.get(address)), address
        assert "held at 55 % of its need" in paper(browser.get(address)), address


def test_the_client_reads_it_on_the_first_page_and_at_the_site(place: Garden):
    browser = Browser()
    browser.force_login(reader(place.client, "reader@heron.test"))
    for address in ("/", f"/sites/{place.site.pk}/"):
        assert TOLD in text(browser.get(address)), address


def test_a_zone_that_keeps_its_water_is_not_named(place: Garden):
    browser = Browser()
    browser.force_login(place.owner)
    lines = browser.get(f"/controllers/{place.controller.pk}/plan/").context["zones"]
    assert [line["apart"] for line in lines] == [
        ["held at 55\u00a0% of its need"],
        ["held at 80\u00a0% of its need"],
        [],
    ]


def test_a_cut_that_is_over_is_told_no_more(place: Garden):
    ZoneCut.objects.update(effective_to=ON - timedelta(days=1))
    browser = Browser()
    browser.force_login(place.owner)
    for address in (f"/sites/{place.site.pk}/", f"/controllers/{place.controller.pk}/card/"):
        assert REASON not in text(browser.get(address)), address


def test_each_reason_has_a_line_of_its_own():
    held = [PlantsHeld("Shrubs", 80, "Upper Vale", 2), PlantsHeld("Trees", 90, "Lower Vale", 1)]
    assert held_lines(held) == [
        f"Upper Vale. Shrubs (2 zones) held at 80\u00a0% of the need. {COUNTED}",
        f"Lower Vale. Trees (1 zone) held at 90\u00a0% of the need. {COUNTED}",
    ]
