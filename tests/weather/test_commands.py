"""The commands: fetch, backfill and normals, for every cell there is."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.utils import timezone

from tests.weather.conftest import NO_LIMITS, ON, a_cell, ago
from tests.weather.stand_in import refusal
from weather.models import FetchDay, ForecastDay, MonthlyNormal, ObservedDay

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def invented(settings):
    settings.WEATHER_SOURCE = "invented"
    settings.AS_OF = ON


def run(*words: str) -> str:
    out = StringIO()
    call_command(*words, stdout=out)
    return out.getvalue()


def test_fetch_weather_pulls_the_business_day_for_every_time_zone(cell):
    a_cell(1, timezone="America/New_York")
    printed = run("fetch_weather")
    assert printed.count("2026-07-14: 1 cells, 1 fetched, 0 done before, 0 failed") == 2
    assert ObservedDay.objects.filter(date=ago(1)).count() == 2


def test_fetch_weather_pulls_a_given_morning(cell):
    run("fetch_weather", "--date", "2026-05-01")
    assert str(ForecastDay.objects.earliest("date").date) == "2026-05-01"


def test_fetch_weather_twice_fetches_once(cell):
    run("fetch_weather")
    assert "0 fetched, 1 done before" in run("fetch_weather")


def test_fetch_weather_can_be_told_to_try_only_what_failed(cell):
    assert "0 cells, 0 fetched" in run("fetch_weather", "--failed")
    FetchDay.objects.create(cell=cell, date=ON, state="failed", next_attempt_at=timezone.now())
    assert "1 cells, 1 fetched" in run("fetch_weather", "--failed")


def test_backfill_pulls_so_many_days_though_the_morning_is_done(cell):
    run("fetch_weather")
    run("backfill", "--days", "400")
    assert ObservedDay.objects.count() == 400
    assert ObservedDay.objects.earliest("date").date == ON - timedelta(days=400)


def test_normals_rebuilds_them(cell):
    run("backfill", "--days", "400")
    assert run("normals") == "12 monthly normals.\n"
    assert MonthlyNormal.objects.count() == 12


def test_what_failed_is_printed_in_plain_words(cell, stand_in, settings):
    settings.WEATHER_SOURCE = "open-meteo"
    settings.OPEN_METEO_URL = stand_in.url("/v1/forecast")
    settings.OPEN_METEO_LIMITS = NO_LIMITS
    stand_in.refuse = lambda _: refusal(400, "The supplied API key is invalid.")
    printed = run("fetch_weather")
    assert "1 failed" in printed
    assert "open-meteo: The weather source doesn't accept the key. (bad_key)" in printed
    assert f"cell {cell.pk}: The weather source doesn't accept the key. (bad_key)" in printed
