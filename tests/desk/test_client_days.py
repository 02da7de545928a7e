"""The days behind a client's savings: they add up to the month's figures, with the weather beside them."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from desk import figures
from fleet.models import Controller, Site, User
from reports.selectors.savings import client_savings_by_month
from reports.selectors.savings_days import client_days
from scheduling.models import Setting, ZoneRun
from tests.cast import Cast, a_program
from tests.night.garden import ON, Garden, garden, weather, zone

pytestmark = pytest.mark.django_db
SignedIn = Callable[[User], Client]
JULY = date(2026, 7, 1)


@pytest.fixture
def heron(settings: Any) -> Garden:
    """A lawn at 60 percent for ten nights, a second site with two programs, rain on one day."""
    settings.AS_OF = ON
    place = garden("Heron", minutes=40, days="daily", units="us", percent=90)
    weather(place.cell, et_mm=4.0, rain={ON - timedelta(days=4): 9.0})
    Setting.objects.create(program=place.program, percent=60, effective_from=ON - timedelta(days=10))
    second_site(place)
    return place


def second_site(place: Garden, name: str = "Second lot") -> Site:
    site = Site.objects.get(pk=place.site.pk)
    site.pk, site.name, site._state.adding = None, name, True
    site.save()
    box = Controller.objects.create(site=site, name="Porch")
    ground = zone(box)
    for letter, minutes in (("A", 30), ("B", 12)):
        program = a_program(box, letter, starts=["03:00"], effective=ON - timedelta(days=60))
        ZoneRun.objects.create(program=program, zone=ground, minutes=minutes, order=1)
        Setting.objects.create(program=program, percent=100, effective_from=ON - timedelta(days=60))
    return site


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def exact(litres: float | None) -> str:
    return figures.exact_water(litres, "us").replace("\u00a0", " ")


def test_days_add_up_to_the_month_for_the_client_each_site_and_each_program(heron: Garden) -> None:
    months, _ = client_savings_by_month(heron.client, on=ON)
    month = next(month for month in months if month.first == JULY)
    told = client_days(heron.client, first=JULY, last=ON - timedelta(days=1), on=ON)
    assert told is not None
    assert [day.date for day in told.days] == [JULY + timedelta(days=n) for n in range(13)]
    assert told.total.applied_l == month.applied_l
    assert told.total.found.saved_l == month.found.saved_l
    assert told.total.monthly.saved_l == month.monthly.saved_l
    assert told.total.adequacy == month.adequacy
    parts = [told, *told.sites, *(program for site in told.sites for program in site.programs)]
    assert len(parts) == 6
    for part in parts:
        total, days = part.total, part.days
        assert sum(day.applied_l for day in days) == pytest.approx(total.applied_l, abs=1e-6)
        assert sum(day.found_l for day in days) == pytest.approx(total.found.baseline_l, abs=1e-6)
        assert sum(day.withheld_l for day in days) == pytest.approx(total.found.withheld_l, abs=1e-6)
        assert sum(day.saved_l for day in days) == pytest.approx(total.found.saved_l, abs=1e-6)
    for field in ("applied_l", "found_l", "saved_l", "withheld_l"):
        for n, day in enumerate(told.days):
            across = sum(getattr(site.days[n], field) for site in told.sites)
            assert getattr(day, field) == pytest.approx(across, abs=1e-6)


def test_a_program_waters_as_entered_and_the_weather_is_that_of_the_day(heron: Garden) -> None:
    told = client_days(heron.client, first=JULY, last=ON - timedelta(days=1), on=ON)
    assert told is not None
    site = next(part for part in told.sites if part.site == heron.site)
    (program,) = site.programs
    assert [day.percent for day in program.days] == [90] * 4 + [60] * 9
    # 40 min of 12 mm/h on 200 m2: 8 mm, 1,600 L at 100 percent
    assert [round(day.applied_l) for day in program.days] == [1440] * 4 + [960] * 9
    assert [round(day.found_l) for day in program.days] == [1440] * 13
    assert {sky.et_mm for sky in site.sky} == {4.0}
    assert [sky.rain_mm for sky in site.sky] == [0.0] * 9 + [9.0] + [0.0] * 3
    assert {sky.told for sky in site.sky} == {"observed"}


def test_the_months_page_shows_every_day_and_the_months_totals(heron: Garden, signed_in: SignedIn) -> None:
    browser = signed_in(heron.owner)
    months, _ = client_savings_by_month(heron.client, on=ON)
    month = next(month for month in months if month.first == JULY)
    page = text(browser.get(f"/clients/{heron.client.pk}/savings/2026-07/"))
    assert "Wed Jul 1" in page
    assert "Mon Jul 13" in page
    assert "Tue Jul 14" not in page
    assert "0.35 in" in page
    client_page = text(browser.get(f"/clients/{heron.client.pk}/"))
    for litres in (month.applied_l, month.found.baseline_l, month.found.saved_l, month.monthly.saved_l):
        assert exact(litres) in page
        assert exact(litres) in client_page
    assert f'href="/clients/{heron.client.pk}/savings/2026-07/"' in client_page


def test_a_range_shows_its_days_alone(heron: Garden, signed_in: SignedIn) -> None:
    page = text(
        signed_in(heron.owner).get(f"/clients/{heron.client.pk}/savings/?from=2026-07-03&to=2026-07-05")
    )
    told = client_days(heron.client, first=date(2026, 7, 3), last=date(2026, 7, 5), on=ON)
    assert told is not None
    assert len(told.days) == 3
    assert exact(told.total.found.saved_l) in page
    assert "Sun Jul 5" in page
    assert "Mon Jul 6" not in page


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("from=2026-02-31", "Type the date as year-month-day"),
        ("to=%00", "Type the date as year-month-day"),
        ("from=🌱", "Type the date as year-month-day"),
        ("from=" + "9" * 9000, "Type the date as year-month-day"),
        ("from=2026-07-09&to=2026-07-02", "The first day lies after the last."),
        ("from=0001-01-01", "Ask for 93 days at the most."),
        ("from=2026-07-15", "The first day lies after the last."),
    ],
)
def test_a_wrong_range_is_told_by_the_field(
    heron: Garden, signed_in: SignedIn, query: str, words: str
) -> None:
    answer = signed_in(heron.owner).get(f"/clients/{heron.client.pk}/savings/?{query}")
    assert answer.status_code == 422
    assert words in text(answer)
    assert 'aria-invalid="true"' in text(answer)


def test_a_wrong_range_keeps_what_was_typed(heron: Garden, signed_in: SignedIn) -> None:
    answer = signed_in(heron.owner).get(f"/clients/{heron.client.pk}/savings/?from=2026-07-02&to=soon")
    assert 'value="soon"' in text(answer)
    assert 'value="2026-07-02"' in text(answer)


@pytest.mark.parametrize("month", ["2026-13", "2026-00", "0000-05", "26-7", "2026-7", "x", "2026-07-01"])
def test_what_is_no_month_is_not_there(heron: Garden, signed_in: SignedIn, month: str) -> None:
    assert signed_in(heron.owner).get(f"/clients/{heron.client.pk}/savings/{month}/").status_code == 404


@pytest.mark.parametrize(
    ("month", "words"),
    [
        ("2026-08", "still to come"),
        ("9999-12", "still to come"),
        ("2024-01", "Nothing was counted on these days"),
        ("0001-01", "Nothing was counted on these days"),
    ],
)
def test_a_month_without_days_says_why(heron: Garden, signed_in: SignedIn, month: str, words: str) -> None:
    answer = signed_in(heron.owner).get(f"/clients/{heron.client.pk}/savings/{month}/")
    assert answer.status_code == 200
    assert words in text(answer)


def test_a_client_without_sites_has_an_empty_month(cast: Cast, signed_in: SignedIn) -> None:
    cast.site.delete()
    for part in ("savings/2026-07/", "savings/", ""):
        assert signed_in(cast.owner).get(f"/clients/{cast.client.pk}/{part}").status_code == 200


def test_many_sites_cost_as_many_queries_as_two(heron: Garden, signed_in: SignedIn) -> None:
    address = f"/clients/{heron.client.pk}/savings/2026-07/"

    def queries() -> int:
        browser = signed_in(heron.owner)
        with CaptureQueriesContext(connection) as seen:
            assert browser.get(address).status_code == 200
        return len(seen)

    few = queries()
    for n in range(6):
        second_site(heron, f"Lot {n}")
    assert queries() == few
