"""Rain noted on the field sheet: a dry day in one tap, a gauge, and what the pages show of it."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from fleet.models import Membership, SiteRain, User
from scheduling.models import Change
from scheduling.services.decisions import approve
from scheduling.services.nightly import run_night
from tests.cast import Cast
from tests.night.garden import ON, TIMEZONE, Garden, garden, weather

pytestmark = pytest.mark.django_db
SignedIn = Callable[[User], Client]
DAY = timedelta(days=1)
YESTERDAY = ON - DAY


@pytest.fixture
def heron(settings: Any) -> Garden:
    """A lawn with something to enter, whose weather source had 12 mm of rain yesterday and 5 mm long ago."""
    settings.AS_OF = ON
    settings.WEATHER_SOURCE = "invented"
    place = garden(minutes=90, percent=170)
    weather(place.cell, rain={YESTERDAY: 12.0, ON - 8 * DAY: 5.0, ON - 2 * DAY: 0.1})
    run_night(on=ON, timezone=TIMEZONE)
    approve(change=Change.objects.filter(kind="percent").latest("id"), by=place.owner)
    return place


def technician_of(place: Garden, signed_in: SignedIn, name: str = "tech") -> Client:
    person = User.objects.create_user(f"{name}@heron.test", "three herons at dawn")
    Membership.objects.create(user=person, company=place.company, role="technician")
    return signed_in(person)


@pytest.fixture
def technician(heron: Garden, signed_in: SignedIn) -> Client:
    return technician_of(heron, signed_in)


def say(browser: Client, place: Garden, **sent: str) -> Any:
    return browser.post(f"/field/sites/{place.site.pk}/rain/", sent)


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def test_only_days_the_source_had_rain_on_are_asked_about(heron: Garden, technician: Client) -> None:
    page = text(technician.get("/field/"))
    assert page.count("No rain here on") == 1
    assert "No rain here on Mon 13 Jul" in page


def test_one_tap_says_a_day_was_dry(heron: Garden, technician: Client) -> None:
    assert say(technician, heron, day=str(YESTERDAY), dry="yes").status_code == 302
    row = SiteRain.objects.get()
    assert (row.date, row.rain_mm, row.how, row.by.email) == (YESTERDAY, 0.0, "said_dry", "tech@heron.test")
    page = text(technician.get("/field/"))
    assert "no rain here</b>, counts instead" in page
    assert "no rain on Mon 13 Jul. It counts from tomorrow" in page


@pytest.mark.parametrize(("units", "typed", "mm"), [("metric", "9", 9.0), ("metric", "9,5 mm", 9.5),
                                                    ("us", "0.35", 8.89), ("us", "1", 25.4)])  # fmt: skip
def test_a_gauge_is_read_in_the_companys_units(
    heron: Garden, technician: Client, units: str, typed: str, mm: float
) -> None:
    heron.company.units = units
    heron.company.save()
    assert say(technician, heron, day=str(ON - 3 * DAY), gauge=typed).status_code == 302
    assert SiteRain.objects.get().rain_mm == pytest.approx(mm)


@pytest.mark.parametrize(
    "gauge",
    ["", "much", "-3", "1e2", "9.9.9", "500", "9\0", "x" * 10_000, "\U0001f327", "\u0645\u0637\u0631", "٩"],
)
def test_a_gauge_that_says_nothing_is_refused_and_what_was_typed_stays(
    heron: Garden, technician: Client, gauge: str
) -> None:
    answer = say(technician, heron, day=str(ON - 3 * DAY), gauge=gauge)
    assert answer.status_code == 422
    assert not SiteRain.objects.exists()
    page = answer.content.decode()
    assert f'<option value="{ON - 3 * DAY}" selected>' in page
    if gauge == "much":
        assert 'value="much"' in page
        assert 'aria-invalid="true"' in page


@pytest.mark.parametrize("day", ["", "yesterday", str(ON), str(ON - 8 * DAY), str(ON + DAY), "2026-02-31"])
def test_a_day_that_is_not_of_the_last_seven_is_refused(heron: Garden, technician: Client, day: str) -> None:
    assert say(technician, heron, day=day, dry="yes").status_code == 422
    assert not SiteRain.objects.exists()


def test_tapping_twice_notes_it_once(heron: Garden, technician: Client) -> None:
    for _ in range(2):
        assert say(technician, heron, day=str(YESTERDAY), dry="yes").status_code == 302
    assert SiteRain.objects.count() == 1


def test_of_two_at_once_one_wins_and_the_other_is_told(
    heron: Garden, technician: Client, signed_in: SignedIn
) -> None:
    other = technician_of(heron, signed_in, "second")
    say(technician, heron, day=str(YESTERDAY), gauge="4")
    late = say(other, heron, day=str(YESTERDAY), dry="yes")
    assert late.status_code == 409
    assert "nothing was overwritten" in text(late)
    assert SiteRain.objects.get().rain_mm == 4.0
    again = say(other, heron, day=str(YESTERDAY), dry="yes", **{f"seen-{YESTERDAY}": "4.0:gauge"})
    assert again.status_code == 302
    assert SiteRain.objects.get().how == "said_dry"


def test_it_is_nobody_elses(heron: Garden, cast: Cast, signed_in: SignedIn) -> None:
    for who in (cast.technician, cast.client_person):
        assert say(signed_in(who), heron, day=str(YESTERDAY), dry="yes").status_code == 404
    assert not SiteRain.objects.exists()


def test_the_site_page_and_why_tell_what_was_seen(heron: Garden, technician: Client) -> None:
    say(technician, heron, day=str(YESTERDAY), dry="yes")
    site = text(technician.get(f"/sites/{heron.site.pk}/"))
    assert "no rain seen on site; source: 12 mm" in site
    Change.objects.all().delete()
    run_night(on=ON, timezone=TIMEZONE)
    change = Change.objects.filter(kind="percent").latest("id")
    why = text(technician.get(f"/changes/{change.pk}/"))
    assert "Mon 13 Jul: no rain. The weather source says 12 mm; what was seen counts here." in why
