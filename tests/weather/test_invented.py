"""Invented weather: the same whatever is asked, plausible, and marked as invented."""

import statistics
from datetime import date, timedelta

import pytest

from tests.weather.conftest import ON, TIMEZONE, ago, many_cells
from weather.models import FetchDay, ForecastDay, ObservedDay, WeatherCell
from weather.providers import SOURCES, source_in_use
from weather.providers.invented import Invented
from weather.services.fetch import fetch_due

YEAR = (date(2025, 1, 1), date(2025, 12, 31))


def a_row(count: int) -> list[WeatherCell]:
    """Return neighbouring cells that are in no database."""
    return [
        WeatherCell(
            pk=i + 1,
            latitude=38.445,
            longitude=-121.605 + 0.03 * i,
            elevation_m=30.0,
            timezone=TIMEZONE,
        )
        for i in range(count)
    ]


def days_of(source, cells, first, last, *, on=date(2027, 1, 1), column=0):
    answer = source.fetch(cells, first=first, last=last, on=on)
    return {day.date: day for part in answer.cells[cells[column].pk] for day in part.days}


def test_a_day_is_the_same_whatever_range_is_asked():
    cells = a_row(1)
    year = days_of(Invented(), cells, *YEAR)
    week = days_of(Invented(), cells, date(2025, 6, 3), date(2025, 6, 9))
    day = days_of(Invented(), cells, date(2025, 6, 5), date(2025, 6, 5))
    assert week == {key: year[key] for key in week}
    assert day == {key: year[key] for key in day}


def test_a_day_is_the_same_whichever_cells_are_asked_together():
    cells = a_row(7)
    together = days_of(Invented(), cells, ON, ON, column=4)
    alone = days_of(Invented(), cells[4:5], ON, ON)
    assert together == alone


def test_a_forecast_is_the_same_whatever_range_is_asked():
    cells = a_row(1)
    ten = days_of(Invented(), cells, ago(30), ago(-9), on=ON)
    one = days_of(Invented(), cells, ago(-4), ago(-4), on=ON)
    assert one[ago(-4)] == ten[ago(-4)]


def test_days_before_the_morning_are_the_truth_whatever_the_morning():
    cells = a_row(1)
    early = days_of(Invented(), cells, ago(5), ago(1), on=ON)
    late = days_of(Invented(), cells, ago(5), ago(1), on=ON + timedelta(days=100))
    assert early == late


def test_another_seed_is_another_sky():
    cells = a_row(1)
    assert days_of(Invented(seed=1), cells, *YEAR) != days_of(Invented(seed=2), cells, *YEAR)


def test_every_day_is_marked_as_invented():
    cells = a_row(1)
    days = days_of(Invented(), cells, ago(3), ago(-3), on=ON)
    assert {day.quality for day in days.values()} == {"invented"}


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_summers_are_hot_and_dry_and_winters_mild_and_wet(seed):
    days = days_of(Invented(seed=seed), a_row(1), date(2021, 1, 1), date(2025, 12, 31)).values()
    summer = [day for day in days if day.date.month in (7, 8)]
    winter = [day for day in days if day.date.month in (12, 1)]
    assert 28 < statistics.mean(day.t_max_c for day in summer) < 35
    assert 7 < statistics.mean(day.t_max_c for day in winter) < 15
    assert sum(day.rain_mm for day in summer) < 0.25 * sum(day.rain_mm for day in winter)
    assert 250 < sum(day.rain_mm for day in days) / 5 < 900


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_now_and_then_it_rains_in_summer_and_it_gets_very_hot(seed):
    days = days_of(Invented(seed=seed), a_row(1), date(2021, 1, 1), date(2025, 12, 31)).values()
    summer = [day for day in days if day.date.month in (6, 7, 8, 9)]
    assert sum(day.rain_mm >= 5 for day in summer) >= 5
    assert max(day.t_max_c for day in summer) > 36


def test_neighbours_have_nearly_the_same_weather_and_far_places_another():
    near, next_door, far = a_row(2) + [
        WeatherCell(pk=9, latitude=38.445, longitude=-100.005, elevation_m=30.0, timezone=TIMEZONE)
    ]
    columns = [
        [day.t_max_c for day in days_of(Invented(), [cell], date(2025, 6, 1), date(2025, 8, 31)).values()]
        for cell in (near, next_door, far)
    ]
    assert statistics.correlation(columns[0], columns[1]) > 0.98
    assert statistics.correlation(columns[0], columns[2]) < 0.6


def test_higher_places_are_cooler():
    low = a_row(1)[0]
    high = WeatherCell(
        pk=2, latitude=low.latitude, longitude=low.longitude, elevation_m=1030.0, timezone=TIMEZONE
    )
    apart = days_of(Invented(), [low], ON, ON)[ON].t_max_c - days_of(Invented(), [high], ON, ON)[ON].t_max_c
    assert apart == pytest.approx(6.5, abs=0.2)


def test_forecasts_get_worse_the_further_they_look():
    cells = a_row(1)
    truth = days_of(Invented(), cells, date(2025, 1, 1), date(2026, 1, 31))

    def error(lead: int) -> float:
        errors = []
        for n in range(0, 365, 7):
            on = date(2025, 1, 1) + timedelta(days=n)
            day = on + timedelta(days=lead)
            errors.append(abs(days_of(Invented(), cells, day, day, on=on)[day].t_max_c - truth[day].t_max_c))
        return statistics.mean(errors)

    assert 0.2 < error(0) < error(3) < error(8) < 5


def test_forecasts_of_rain_hit_miss_and_cry_wolf():
    cells = a_row(1)
    truth = days_of(Invented(), cells, date(2025, 1, 1), date(2026, 1, 31))
    counts = {(said, fell): 0 for said in (True, False) for fell in (True, False)}
    for n in [*range(120), *range(270, 365)]:
        on = date(2025, 1, 1) + timedelta(days=n)
        day = on + timedelta(days=2)
        said = days_of(Invented(), cells, day, day, on=on)[day]
        counts[said.rain_mm > 0, truth[day].rain_mm > 0] += 1
    assert counts[True, True] > 3 * counts[False, True] > 0
    assert 0 < counts[True, False] < counts[True, True]


def test_foretold_rain_is_called_likely_and_the_extremes_stay_in_order():
    cells = a_row(3)
    for n in range(0, 365, 5):
        on = date(2025, 1, 1) + timedelta(days=n)
        for day in days_of(Invented(), cells, on, on + timedelta(days=9), on=on).values():
            assert 0 <= day.rain_probability <= 1
            assert (day.rain_probability > 0.4) == (day.rain_mm > 0)
            assert day.t_min_c < day.t_max_c


def test_a_day_can_be_kept_silent_about():
    cells = a_row(2)
    source = Invented(missing={(1, ago(2))})
    assert ago(2) not in days_of(source, cells, ago(3), ago(1), on=ON)
    assert ago(2) in days_of(source, cells, ago(3), ago(1), on=ON, column=1)


@pytest.mark.django_db
def test_the_day_kept_silent_about_is_missing_in_the_database_and_said():
    cells = many_cells(2)
    source = Invented(missing={(cells[0].pk, ago(2))})
    report = fetch_due(on=ON, timezone=TIMEZONE, cells=cells, source=source)
    assert ObservedDay.objects.filter(date=ago(2)).count() == 1
    assert [(failure["id"], failure["code"]) for failure in report.failures] == [(cells[0].pk, "day_missing")]


@pytest.mark.django_db
def test_a_fleet_lives_on_invented_weather_and_no_flag_is_raised(settings):
    settings.WEATHER_SOURCE = "invented"
    cells = many_cells(5)
    report = fetch_due(on=ON, timezone=TIMEZONE, cells=cells, first=ago(365))
    assert report.failures == []
    assert set(ObservedDay.objects.values_list("source", "quality", "et_method")) == {
        ("invented", "invented", "penman-monteith")
    }
    flagged = [day.flags for day in ObservedDay.objects.all() if day.flags]
    assert len(flagged) < 0.01 * 5 * 365
    assert ForecastDay.objects.filter(quality="invented").count() == 50
    assert FetchDay.objects.filter(state="done").count() == 5


def test_the_source_in_use_is_the_settings_choice(settings):
    settings.WEATHER_SOURCE, settings.INVENTED_WEATHER_SEED = "invented", 7
    source = source_in_use()
    assert isinstance(source, Invented)
    assert source.seed == 7


def test_every_source_in_the_list_carries_the_name_it_is_listed_under():
    assert {name: make().name for name, make in SOURCES.items()} == {
        "open-meteo": "open-meteo",
        "invented": "invented",
    }
