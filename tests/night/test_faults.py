"""Nights that go on although the weather source, a survey or a site is broken, over a real socket."""

import json
from datetime import timedelta
from typing import Any

import pytest
from django.core.management import call_command
from werkzeug import Response

from fleet.models import Zone
from scheduling.models import Change, Program
from scheduling.services.nightly import run_night
from tests.night.conftest import SkySource
from tests.night.garden import ON, TIMEZONE, garden, weather
from weather.models import ForecastDay, ObservedDay

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def no_waiting(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("weather.providers.asking.FIRST_WAIT_S", 0.0)


def reason(status: int, text: str) -> Response:
    return Response(json.dumps({"error": True, "reason": text}), status, content_type="application/json")


FAULTS = {
    "a 500": lambda: reason(500, "Something went wrong."),
    "an overload": lambda: reason(503, "The service is overloaded"),
    "a proxy's page": lambda: Response("<html>Bad gateway</html>", 502, content_type="text/html"),
    "broken JSON": lambda: Response('{"daily": {"time": ["2026-07-', 200, content_type="application/json"),
    "the day's limit": lambda: reason(429, "Daily API request limit exceeded. Please try again tomorrow."),
    "no key": lambda: reason(401, "API key required. Please add &apikey= to the URL."),
    "a list that is too short": lambda: Response("[]", 200, content_type="application/json"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_the_night_goes_on_from_what_is_stored(sky: SkySource, fault: str) -> None:
    place = garden(minutes=25)
    weather(place.cell)
    sky.always = FAULTS[fault]
    run, report = run_night(on=ON, timezone=TIMEZONE)
    assert run.state == "done"
    assert report.counts["proposed"] == 1
    assert any(f["scope"] == "cell" and f["id"] == place.cell.pk for f in report.failures)
    assert all(f["code"] and f["message"] for f in report.failures)


def test_wrong_units_are_never_stored(sky: SkySource) -> None:
    place = garden(minutes=25)
    sky.units = {"temperature_2m_max": "°F"}
    _, report = run_night(on=ON, timezone=TIMEZONE)
    assert not ObservedDay.objects.exists() and not ForecastDay.objects.exists()
    assert not Change.objects.exists()
    assert any(f["id"] == place.cell.pk for f in report.failures)


def test_weather_three_days_late_still_decides_and_says_so(sky: SkySource) -> None:
    place = garden(minutes=25)
    weather(place.cell, on=ON - timedelta(days=3))
    sky.always = FAULTS["a 500"]
    run, report = run_night(on=ON, timezone=TIMEZONE)
    assert run.weather == {"observed_through": (ON - timedelta(days=4)).isoformat(), "fallback_days": 3}
    assert report.counts["proposed"] == 1
    assert "weather is late" in Change.objects.get().hints
    kinds = [day["kind"] for day in Change.objects.get().inputs["days"]]
    assert kinds[0] == "forecast"


def test_weather_four_days_late_proposes_nothing_and_touches_nothing(sky: SkySource) -> None:
    place = garden(minutes=25)
    weather(place.cell, on=ON - timedelta(days=4))
    sky.always = FAULTS["a 500"]
    run_night(on=ON - timedelta(days=4), timezone=TIMEZONE)
    pending = Change.objects.get()
    _, report = run_night(on=ON, timezone=TIMEZONE)
    pending.refresh_from_db()
    assert pending.status == "pending"
    assert report.counts["failed"] == 1
    assert any(f["code"] == "weather_missing" for f in report.failures)


@pytest.mark.sqlite  # twenty seconds of answers from a local server; nothing in it is about the database
def test_an_empty_answer_for_one_of_200_cells_stops_only_that_one(sky: SkySource, settings: Any) -> None:
    places = [
        garden(f"Garden{n}", minutes=25, place=(36.0 + 0.06 * (n // 20), -121.0 + 0.06 * (n % 20), 100.0))
        for n in range(200)
    ]
    assert len({place.cell.pk for place in places}) == 200
    sky.empty_places = {117}
    settings.OPEN_METEO_LIMITS = {}  # else it would wait for the next minute's allowance
    _, report = run_night(on=ON, timezone=TIMEZONE)
    failed = [f for f in report.failures if f["scope"] == "cell"]
    assert len(failed) == 1
    assert report.counts["proposed"] == 199
    assert report.counts["failed"] == 1


def test_an_incomplete_survey_is_listed_with_what_is_missing(sky: SkySource) -> None:
    place = garden(minutes=25, zones=2)
    Zone.objects.filter(pk=place.zones[1].pk).update(soil="", area_m2=None)
    _, report = run_night(on=ON, timezone=TIMEZONE)
    assert report.counts["incomplete"] == 1
    assert not Change.objects.exists()
    message = next(f["message"] for f in report.failures if f["code"] == "incomplete")
    assert "zone 2: soil, area" in message


def test_one_broken_site_stands_alone(sky: SkySource) -> None:
    good = garden("Heron", minutes=25)
    bad = garden("Ibis", minutes=25)
    Program.objects.filter(pk=bad.program.pk).update(starts=["half past four"])
    _, report = run_night(on=ON, timezone=TIMEZONE)
    assert [c.program_id for c in Change.objects.all()] == [good.program.pk]
    assert [(f["scope"], f["id"]) for f in report.failures] == [("site", bad.site.pk)]


def test_a_site_without_a_cell_is_given_one(sky: SkySource) -> None:
    place = garden(minutes=25)
    place.site.cell = None
    place.site.balance_from = None
    place.site.save()
    run_night(on=ON, timezone=TIMEZONE)
    place.site.refresh_from_db()
    assert place.site.cell is not None
    assert place.site.balance_from == ObservedDay.objects.earliest("date").date
    assert Change.objects.exists()


def test_no_sites_is_an_empty_night(db: None, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("nightly", "--json")
    told = json.loads(capsys.readouterr().out)
    assert told["counts"]["programs"] == 0 and told["failures"] == []


def test_the_command_prints_the_contract(sky: SkySource, capsys: pytest.CaptureFixture[str]) -> None:
    garden(minutes=25)
    call_command("nightly", "--date", ON.isoformat(), "--json")
    told = json.loads(capsys.readouterr().out)
    assert {"run_id", "date", "started_at", "finished_at", "counts", "weather", "failures"} <= set(told)
    assert told["date"] == ON.isoformat()
    assert set(told["counts"]) == {
        "cells",
        "programs",
        "proposed",
        "unchanged",
        "superseded",
        "expired",
        "auto_approved",
        "incomplete",
        "failed",
    }
    assert set(told["weather"]) == {"observed_through", "fallback_days"}
