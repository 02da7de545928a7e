"""A place without weather gets a plan all the same: fetched, from near by, or from what is typed."""

from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from fleet.models import Controller, SetUpDraft
from tests.cast import TODAY, Cast
from tests.desk.set_up_texts import say, say_all, start
from weather.models import MonthlyNormal, WeatherCell
from weather.services import on_demand
from weather.services.cells import cell_for
from weather.services.reports import FetchReport

pytestmark = pytest.mark.django_db
GIVEN = "by this plan from the night of"


@pytest.fixture
def draft(owner: Browser, cast: Cast) -> SetUpDraft:
    MonthlyNormal.objects.all().delete()
    made = start(owner)
    say_all(owner, made)
    return made


def plan_step(owner: Browser, draft: SetUpDraft) -> Any:
    page = owner.get(reverse("desk:set-up-plan", args=[draft.pk]))
    return " ".join(page.content.decode().replace("\u00a0", " ").split())


def year_at(latitude: float, longitude: float, *, elevation_m: float = 300.0) -> WeatherCell:
    cell = cell_for(
        latitude=latitude, longitude=longitude, elevation_m=elevation_m, timezone="America/Los_Angeles"
    )
    for month in range(1, 13):
        MonthlyNormal.objects.create(cell=cell, month=month, reference_et_mm=7.0 - abs(month - 7) / 2)
    return cell


def test_where_nothing_is_known_it_says_what_to_do_and_a_typed_need_gives_a_plan(
    owner: Browser, draft: SetUpDraft
):
    page = plan_step(owner, draft)
    assert GIVEN not in page
    assert "No usual year is known here or anywhere near." in page
    assert "Fetch this place's weather" in page.replace("&#x27;", "'")
    say(owner, draft, "plan", {"peak": "0.28"}, do="keep")
    page = plan_step(owner, draft)
    assert GIVEN in page
    assert "rests on the reference ET typed for the hottest month" in page
    say(owner, draft, "plan", {"peak": "0.28", "use-1": "yes"})
    say(owner, draft, "access", {"access_from": "", "readers": ""}, do="create")
    planned = Controller.objects.get(site__name="Court").programs.latest("effective")
    assert planned.runs.exists()


def test_a_need_that_cannot_be_is_refused(owner: Browser, draft: SetUpDraft):
    say(owner, draft, "plan", {"peak": "28"}, do="keep")
    assert "Between 0.04 and 0.59 in." in plan_step(owner, draft)


def test_the_year_of_a_place_near_by_is_said(owner: Browser, draft: SetUpDraft):
    year_at(39.5, -121.3)
    page = plan_step(owner, draft)
    assert GIVEN in page
    assert "This rests on the usual year of a place 25 miles away, 984 ft high" in page


def test_a_place_far_off_is_no_help(owner: Browser, draft: SetUpDraft):
    year_at(34.0, -118.2)
    assert GIVEN not in plan_step(owner, draft)


def test_fetched_it_rests_on_its_own_year(owner: Browser, draft: SetUpDraft):
    answer = say(owner, draft, "plan", {}, do="weather")
    assert answer.status_code == 302
    page = plan_step(owner, draft)
    assert "Its last year is there; the plan below rests on it." in page
    assert GIVEN in page
    assert "place's weather" not in page.replace("&#x27;", "'")


def test_a_second_press_does_not_fetch_the_year_again(db: None, monkeypatch):
    asked: list[Any] = []

    def fetch(**how: Any) -> FetchReport:
        asked.append(how)
        return FetchReport(on=TODAY)

    monkeypatch.setattr(on_demand, "fetch_due", fetch)
    monkeypatch.setattr(on_demand, "rebuild_normals", lambda **_: year_at(39.2, -121.1))
    cell = cell_for(latitude=39.2, longitude=-121.1, elevation_m=300.0, timezone="America/Los_Angeles")
    for _ in range(2):
        on_demand.fetch_usual_year(cell)
    assert len(asked) == 1


def test_where_no_weather_comes_it_says_so(owner: Browser, draft: SetUpDraft, monkeypatch):
    monkeypatch.setattr(on_demand, "fetch_due", lambda **_: FetchReport(on=TODAY))
    say(owner, draft, "plan", {}, do="weather")
    assert "No weather came" in plan_step(owner, draft)
