"""A client's first page: their sites, coming nights in plain words, the past week; nobody else's."""

import re
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext

from fleet.models import Client, ClientAccess, Finding, SiteRain, User, Visit
from scheduling.models import Setting, Skip
from tests.cast import PASSWORD, a_change
from tests.night.garden import ON, Garden, garden, weather


@pytest.fixture
def heron(db: None, settings: Any) -> Garden:
    settings.AS_OF = ON
    made = garden(minutes=30.0, zones=2)
    weather(made.cell, rain={ON - timedelta(days=3): 6.0})
    Client.objects.filter(pk=made.client.pk).update(access_from=date(2026, 5, 1))
    return made


def reading(of: Garden, email: str = "reader@heron.test") -> Browser:
    user = User.objects.filter(email=email).first() or User.objects.create_user(email, PASSWORD)
    ClientAccess.objects.get_or_create(user=user, client=of.client)
    web = Browser()
    web.force_login(user)
    return web


def home(web: Browser) -> str:
    answer = web.get("/")
    assert answer.status_code == 200
    return re.sub(r"\s+", " ", answer.content.decode().replace("\xa0", " "))


def test_the_coming_nights_are_told_in_plain_words(heron: Garden):
    # Mon Wed Fri at 3:00 are the nights of Sunday, Tuesday and Thursday; 14 July 2026 is a Tuesday.
    # Two zones of 30 minutes, cycles of 20, soaks of 20: at 3:00, 3:20, 3:40 (the first again), 4:00 to 4:10.
    text = home(reading(heron))
    assert "<b>Tonight</b> waters from 3:00 to 4:10." in text
    assert "1 h 00 min of watering, 3:00 to 4:10, at 100 %" in text
    assert text.count("waters from") == 3
    assert text.count(">rests<") == 4


def test_the_percent_in_force_counts_and_a_pending_one_does_not(heron: Garden):
    a_change(heron.program, reason="Cooler than the base month.", effective_from=ON, proposed=20)
    Setting.objects.create(program=heron.program, percent=50, effective_from=ON + timedelta(days=1))
    text = home(reading(heron))
    assert "1 h 00 min of watering, 3:00 to 4:10, at 100 %" in text
    assert text.count("30 min of watering, 3:00 to 3:30, at 50 %") == 2
    for kept_back in ("20 %", "Cooler", "85 %"):
        assert kept_back not in text


def test_a_skipped_night_is_told_with_its_reason(heron: Garden):
    Skip.objects.create(program=heron.program, effective_from=ON, effective_to=ON, reason="9 mm of rain.")
    text = home(reading(heron))
    assert "skipped. 9 mm of rain." in text
    assert text.count("waters from") == 2


def test_a_closed_site_says_so(heron: Garden):
    heron.site.season = "closed"
    heron.site.save()
    assert "The site is closed: nothing is watered." in home(reading(heron))


def test_the_past_week_is_added_up_and_rain_seen_on_the_site_counts(heron: Garden):
    assert "<dd> 6.0 mm </dd>" in home(reading(heron))
    SiteRain.objects.create(site=heron.site, date=ON - timedelta(days=3), rain_mm=9, how="gauge")
    text = home(reading(heron))
    assert "<dd> 9.0 mm </dd>" in text
    assert "seen on the site" in text
    assert "rain of the past 7 days" in text


def test_the_month_is_told_in_water_and_never_in_money(heron: Garden):
    text = home(reading(heron))
    part = text.partition("saved this month, estimated")[2][:120]
    assert "not counted yet" not in part
    assert re.search(r"-?[\d.,]+ (L|m³)", part)
    assert "$" not in text
    assert "USD" not in text


def test_whom_to_call_is_the_companys_own_contact(heron: Garden):
    heron.company.contact_name, heron.company.phone = "Front desk", "555-0142"
    heron.company.save()
    for address in ("/", f"/sites/{heron.site.pk}/"):
        text = re.sub(r"\s+", " ", reading(heron).get(address).content.decode())
        assert 'Front desk: <a href="tel:555-0142">555-0142</a>' in text


def test_nothing_of_the_staff_and_nobody_elses_site_is_told(heron: Garden):
    neighbour = heron.company.clients.create(name="Next door", access_from=ON)
    neighbour.sites.create(
        name="Annex", latitude=39.2, longitude=-121.1, elevation_m=310, timezone=heron.site.timezone
    )
    Finding.objects.create(zone=heron.zones[0], part="cracked riser", found_on=ON)
    Visit.objects.create(site=heron.site, date=ON, note="Dog in the yard.")
    text = home(reading(heron))
    for kept_back in ("Annex", "Next door", "cracked riser", "Dog", "/changes/", "/week/", "/clients/"):
        assert kept_back not in text, kept_back


def test_a_site_without_weather_or_programs_says_what_is_not_known(heron: Garden):
    heron.client.sites.create(
        name="Annex", latitude=39.2, longitude=-121.1, elevation_m=310, timezone=heron.site.timezone
    )
    text = home(reading(heron)).partition("Annex")[2]
    for words in ("not counted yet", "not known yet", "No weather is known for this place yet."):
        assert words in text


def test_it_takes_as_many_queries_for_many_sites_as_for_few(heron: Garden):
    web = reading(heron)
    _another_site(heron, 0)
    with CaptureQueriesContext(connection) as few:
        home(web)
    for n in range(1, 6):
        _another_site(heron, n)
    with CaptureQueriesContext(connection) as many:
        home(web)
    assert len(many) == len(few)
    assert len(many) <= 42


def _another_site(heron: Garden, n: int) -> None:
    site = heron.client.sites.create(
        name=f"Lot {n}", latitude=39.2, longitude=-121.1, elevation_m=310,
        timezone=heron.site.timezone, cell=heron.cell,
    )  # fmt: skip
    box = site.controllers.create(name="Wall")
    program = box.programs.create(letter="A", starts=["03:00"], effective=ON - timedelta(days=60))
    program.runs.create(zone=box.zones.create(number=1, name="Bed"), minutes=9)
    program.skips.create(effective_from=ON, effective_to=ON, reason="Rain.")
