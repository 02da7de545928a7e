"""A zone that isn't watered by need is told wherever a page would mislead without it."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client as Browser

from fleet.models import Visit, ZoneEpisode
from scheduling.models import Change
from scheduling.services.nightly import run_night
from tests.cast import reader
from tests.night.garden import ON, TIMEZONE, Garden, garden, weather

pytestmark = pytest.mark.django_db


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


@pytest.fixture
def place(settings: Any) -> Garden:
    settings.AS_OF = ON
    settings.WEATHER_SOURCE = "invented"
    made = garden(minutes=40.0, zones=2, percent=170, units="us")
    made.client.access_from = date(2026, 5, 1)
    made.client.save()
    weather(made.cell)
    ZoneEpisode.objects.create(
        zone=made.zones[1], kind="grow-in", effective_from=ON - timedelta(days=4),
        effective_to=ON + timedelta(days=9), permit="W-118", runs_a_day=4, run_minutes=6,
    )  # fmt: skip
    run_night(on=ON, timezone=TIMEZONE)
    Visit.objects.create(site=made.site, date=ON)
    return made


def test_every_page_that_would_mislead_says_it(place: Garden):
    browser = Browser()
    browser.force_login(place.owner)
    change = Change.objects.get(kind="percent")
    whole = "Zone 2 Lawn 2 (Shed) is growing in to the night of Thu Jul 23 (permit W-118)."
    runs = "Key in 4 runs a day of 6 min each"
    short = "Zone 2 Lawn 2: growing in to Thu Jul 23."
    days = f"/clients/{place.client.pk}/savings/?from={ON - timedelta(days=2)}"
    told = {
        f"/changes/{change.pk}/": (whole, runs),
        f"/sites/{place.site.pk}/": (whole, runs),
        f"/clients/{place.client.pk}/": (whole, "Left out: zone 2: growing in, not watered by need"),
        "/field/": (whole, runs),
        "/": ("1 zone not watered by need tonight", short),
        "/week/": (short,),
        f"/nights/{change.run_id}/": ("zone 2 Lawn 2: growing in",),
        days: ("Left out: zone 2: growing in",),
        f"/sites/{place.site.pk}/history/": ("growing in from this day until Thu Jul 23",),
    }
    for address, words in told.items():
        page = text(browser.get(address))
        for one in words:
            assert one in page, (address, one)


def test_the_client_reads_it_too_without_what_is_keyed_in(place: Garden):
    browser = Browser()
    browser.force_login(reader(place.client, "reader@heron.test"))
    for address in ("/", f"/sites/{place.site.pk}/"):
        page = text(browser.get(address))
        assert "Zone 2 Lawn 2: growing in to Thu Jul 23." in page, address
        assert "W-118" not in page
        assert "Set it right" not in page


def test_it_ends_by_its_date_and_the_morning_says_so_once(place: Garden, settings: Any):
    browser = Browser()
    browser.force_login(place.owner)
    over = "Zone 2 Lawn 2 is no longer growing in: percents are decided again."
    for day, said in ((9, False), (10, True), (11, False)):
        settings.AS_OF = ON + timedelta(days=day)
        page = text(browser.get("/"))
        assert (over in page) == said, day
        assert ("1 zone not watered by need tonight" in page) == (day == 9), day
