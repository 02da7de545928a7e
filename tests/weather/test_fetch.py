"""A morning's pull: what is stored, what a second one does, and what one bad cell costs."""

from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine

from tests.weather.conftest import ON, TIMEZONE, a_cell, ago, many_cells, observed
from tests.weather.stand_in import A_DAY, UNITS, refusal
from weather.models import FetchDay, ForecastDay, ObservedDay
from weather.providers.invented import Invented
from weather.services.fetch import fetch_due

pytestmark = pytest.mark.django_db


@pytest.fixture
def fetch(open_meteo):
    def call(cells, **how):
        return fetch_due(**{"on": ON, "timezone": TIMEZONE, "cells": cells, "source": open_meteo} | how)

    return call


def everything():
    """Return every stored row of days and fetches, as values."""
    return [list(model.objects.order_by("pk").values()) for model in (ObservedDay, ForecastDay, FetchDay)]


def test_days_before_the_morning_are_observed_and_the_others_forecast(fetch, cell):
    report = fetch([cell])
    assert set(ObservedDay.objects.values_list("date", flat=True)) == {ago(n) for n in range(1, 31)}
    assert set(ForecastDay.objects.values_list("date", flat=True)) == {ago(-n) for n in range(10)}
    assert (report.done, report.observed_stored, report.forecast_stored) == (1, 30, 10)


def test_forecasts_count_as_known_at_five_in_the_morning_of_a_past_day(fetch, cell):
    fetch([cell])
    assert set(ForecastDay.objects.values_list("issued_at", flat=True)) == {
        datetime(2026, 7, 14, 12, 0, tzinfo=UTC)
    }


def test_on_the_real_day_they_count_as_known_now(fetch, cell):
    with time_machine.travel(datetime(2026, 7, 14, 13, 37, tzinfo=UTC), tick=False):
        fetch([cell])
    assert ForecastDay.objects.earliest("date").issued_at == datetime(2026, 7, 14, 13, 37, tzinfo=UTC)


def test_reference_et_is_computed_here_with_its_method(fetch, cell):
    """The day is FAO-56's example 18 (Uccle, 6 July): 3.9 mm, from vapour pressure, wind and radiation."""
    day = ObservedDay.objects.create(
        cell=a_cell_at_uccle(),
        date=date(2026, 7, 6),
        t_min_c=12.3,
        t_max_c=21.5,
        vapour_pressure_kpa=1.409,
        wind_2m_m_s=2.078,
        solar_radiation_mj_m2=22.07,
    )
    report = fetch([day.cell], source=Invented())
    day.refresh_from_db()
    assert day.reference_et_mm == pytest.approx(3.9, abs=0.05)
    assert day.et_method == "penman-monteith"
    assert report.reference_et_filled == 1


def a_cell_at_uccle():
    from weather.models import WeatherCell

    return WeatherCell.objects.create(
        latitude=50.8, longitude=4.35, elevation_m=100.0, timezone="Europe/Brussels"
    )


def test_a_row_from_elsewhere_with_temperatures_alone_gets_reference_et_and_keeps_its_class(fetch, cell):
    day = observed(cell, ago(2), reference_et_mm=None, t_min_c=15.0, t_max_c=32.0, rain_mm=None)
    fetch([cell])
    day.refresh_from_db()
    assert day.et_method == "hargreaves-samani"
    assert day.reference_et_mm == pytest.approx(6.1, abs=1.0)
    assert (day.quality, day.t_max_c) == ("station", 32.0)


def test_what_somebody_entered_stays_as_entered_though_the_computation_leaves_it_out(fetch, cell):
    """No sky is as bright as 55 MJ/m2; reference ET comes from the temperatures instead."""
    day = observed(
        cell, ago(40), reference_et_mm=None, t_min_c=15.0, t_max_c=32.0, solar_radiation_mj_m2=55.0
    )
    fetch([cell])
    day.refresh_from_db()
    assert day.solar_radiation_mj_m2 == 55.0
    assert day.flags == ["radiation above clear sky"]
    assert day.et_method == "hargreaves-samani"


def test_the_sources_own_figure_is_a_check_and_never_the_truth(fetch, stand_in, cell):
    stand_in.day = lambda _: A_DAY | {"et0_fao_evapotranspiration": 3.0}
    fetch([cell])
    day = ObservedDay.objects.get(cell=cell, date=ago(1))
    assert day.provider_et_mm == 3.0
    assert day.reference_et_mm == pytest.approx(7.0, abs=0.5)
    assert day.flags == ["reference ET unlike the source's own"]


def test_weather_that_cannot_be_right_is_left_out_and_flagged(fetch, stand_in, cell):
    stand_in.day = lambda day: (
        A_DAY | ({"shortwave_radiation_sum": 55.0, "precipitation_sum": 700.0} if day == ago(1) else {})
    )
    fetch([cell])
    day = ObservedDay.objects.get(cell=cell, date=ago(1))
    assert (day.solar_radiation_mj_m2, day.rain_mm) == (None, None)
    assert {"rain out of range", "radiation above clear sky"} <= set(day.flags)
    assert day.reference_et_mm == pytest.approx(6.5, abs=1.5)
    assert day.et_method != "penman-monteith"


def test_null_rain_is_stored_as_unknown(fetch, stand_in, cell):
    stand_in.day = lambda day: A_DAY | {"precipitation_sum": None if day == ago(1) else 0.0}
    fetch([cell])
    assert ObservedDay.objects.get(date=ago(1)).rain_mm is None
    assert ObservedDay.objects.get(date=ago(2)).rain_mm == 0.0


def test_a_second_run_asks_nothing_and_changes_nothing(fetch, stand_in, cells):
    fetch(cells)
    before, asked = everything(), len(stand_in.asked)
    report = fetch(cells)
    assert everything() == before
    assert len(stand_in.asked) == asked
    assert (report.already_done, report.done, report.failures) == (3, 0, [])


def test_asked_again_for_the_same_morning_equal_weather_changes_no_observed_row(fetch, cells):
    fetch(cells)
    before = list(ObservedDay.objects.order_by("pk").values())
    report = fetch(cells, again=True)
    assert report.observed_stored == 0
    assert list(ObservedDay.objects.order_by("pk").values()) == before
    assert ForecastDay.objects.count() == 30


def test_a_later_forecast_stands_beside_the_earlier_one(fetch, stand_in, cell):
    fetch([cell])
    stand_in.day = lambda _: A_DAY | {"precipitation_sum": 12.0}
    afternoon = datetime(2026, 7, 14, 23, 0, tzinfo=UTC)
    fetch([cell], again=True, issued_at=afternoon)
    days = ForecastDay.objects.filter(date=ON).order_by("issued_at").values_list("issued_at", "rain_mm")
    assert list(days) == [(datetime(2026, 7, 14, 12, tzinfo=UTC), 0.0), (afternoon, 12.0)]


def test_a_corrected_day_replaces_the_earlier_one_the_night_after(fetch, stand_in, cell):
    fetch([cell], on=ago(1))
    stand_in.day = lambda day: A_DAY | ({"precipitation_sum": 8.5} if day == ago(2) else {})
    fetch([cell])
    day = ObservedDay.objects.get(date=ago(2))
    assert (day.rain_mm, day.quality) == (8.5, "analysis")


@pytest.mark.parametrize("quality", ["station"])
def test_a_better_class_is_never_overwritten(fetch, stand_in, cell, quality):
    observed(cell, ago(1), quality=quality, source="the school's station", reference_et_mm=5.5, rain_mm=3.0)
    fetch([cell])
    day = ObservedDay.objects.get(date=ago(1))
    assert (day.reference_et_mm, day.rain_mm, day.quality) == (5.5, 3.0, quality)
    assert day.source == "the school's station"


@pytest.mark.parametrize("quality", ["reanalysis", "forecast", "normal", "invented"])
def test_a_worse_class_is_overwritten(fetch, cell, quality):
    observed(cell, ago(1), quality=quality, reference_et_mm=5.5, rain_mm=3.0)
    fetch([cell])
    day = ObservedDay.objects.get(date=ago(1))
    assert (day.rain_mm, day.quality, day.source) == (0.0, "analysis", "open-meteo")


def test_invented_weather_never_overwrites_real_weather(fetch, cell):
    fetch([cell])
    before = list(ObservedDay.objects.order_by("pk").values())
    fetch([cell], again=True, source=Invented())
    assert list(ObservedDay.objects.order_by("pk").values()) == before


def test_what_a_rain_gauge_alone_knows_is_kept_and_the_rest_filled_in(fetch, cell):
    observed(cell, ago(1), quality="station", reference_et_mm=None, rain_mm=4.4)
    fetch([cell])
    day = ObservedDay.objects.get(date=ago(1))
    assert (day.rain_mm, day.quality, day.t_max_c) == (4.4, "station", 33.0)
    assert day.reference_et_mm == pytest.approx(7.0, abs=0.5)


def test_a_partial_answer_never_wipes_out_what_is_known(fetch, stand_in, cell):
    fetch([cell])
    stand_in.day = lambda day: A_DAY | {"wind_speed_10m_mean": None, "precipitation_sum": None}
    fetch([cell], again=True)
    day = ObservedDay.objects.get(date=ago(1))
    assert (day.t_max_c, day.rain_mm, day.flags) == (33.0, 0.0, [])


def test_a_partial_day_keeps_its_rain_has_no_reference_et_and_is_tried_again(fetch, stand_in, cell):
    stand_in.day = lambda day: (
        A_DAY | ({"shortwave_radiation_sum": None, "precipitation_sum": 2.0} if day == ago(1) else {})
    )
    report = fetch([cell])
    day = ObservedDay.objects.get(date=ago(1))
    assert (day.rain_mm, day.t_max_c, day.reference_et_mm, day.flags) == (2.0, None, None, ["hours missing"])
    assert report.failures == [
        {
            "scope": "cell",
            "id": cell.pk,
            "code": "day_missing",
            "message": "No usable weather for 2026-07-13 yet.",
        }
    ]
    assert FetchDay.objects.get().state == "failed"


def test_partial_forecast_days_are_not_stored(fetch, stand_in, cell):
    stand_in.day = lambda day: A_DAY | ({"wind_speed_10m_mean": None} if day > ago(-6) else {})
    fetch([cell])
    assert max(ForecastDay.objects.values_list("date", flat=True)) == ago(-6)


def test_one_empty_place_of_200_is_the_only_failure(fetch, stand_in):
    cells = many_cells(200)
    stand_in.change = lambda i, item: item | {"daily": {name: [] for name in UNITS}} if i == 5 else item
    report = fetch(cells)
    assert (report.done, report.failed) == (199, 1)
    assert report.failures[0]["id"] == cells[5].pk
    assert report.failures[0]["code"] == "empty_answer"
    assert ObservedDay.objects.values("cell").distinct().count() == 199


def test_a_wrong_key_is_an_alert_and_the_night_goes_on_without(fetch, stand_in, cells):
    stand_in.refuse = lambda _: refusal(400, "The supplied API key is invalid.")
    report = fetch(cells)
    assert report.alerts == [
        {
            "scope": "source",
            "id": "open-meteo",
            "code": "bad_key",
            "message": "The weather source doesn't accept the key.",
        }
    ]
    assert set(FetchDay.objects.values_list("state", "code")) == {("given_up", "bad_key")}


def test_a_source_that_breaks_in_an_unknown_way_does_not_end_the_night(cells):
    class Broken(Invented):
        def fetch(self, cells, *, first, last, on):
            raise KeyError("surprise")

    report = fetch_due(on=ON, timezone=TIMEZONE, cells=cells, source=Broken())
    assert {failure["code"] for failure in report.failures} == {"unexpected"}
    assert set(FetchDay.objects.values_list("state", flat=True)) == {"failed"}


def test_a_cell_whose_weather_cannot_be_stored_does_not_cost_the_others(cells, monkeypatch):
    bad = cells[1].pk

    class Odd(Invented):
        def fetch(self, cells, *, first, last, on):
            answer = super().fetch(cells, first=first, last=last, on=on)
            for part in answer.cells.get(bad, []):
                for day in part.days:
                    object.__setattr__(day, "quality", "hearsay")
            return answer

    report = fetch_due(on=ON, timezone=TIMEZONE, cells=cells, source=Odd())
    assert [(failure["id"], failure["code"]) for failure in report.failures] == [(bad, "not_stored")]
    assert set(ObservedDay.objects.values_list("cell", flat=True)) == {cells[0].pk, cells[2].pk}


def test_what_the_source_says_about_its_own_grid_is_kept(fetch, cell):
    fetch([cell])
    cell.refresh_from_db()
    assert (cell.source_latitude, cell.source_longitude, cell.source_elevation_m) == (
        38.451057,
        -121.61133,
        12.0,
    )
    assert (cell.latitude, cell.longitude) == (38.445, -121.605)


def test_a_source_that_moves_to_another_grid_point_is_logged(fetch, stand_in, cell, caplog):
    fetch([cell])
    stand_in.change = lambda _, item: item | {"elevation": 40.0}
    fetch([cell], again=True)
    assert "another point of its grid" in caplog.text


def test_a_forecast_asked_for_after_the_fact_is_marked_as_what_it_is(fetch, cell):
    with time_machine.travel(datetime(2026, 7, 20, 13, 0, tzinfo=UTC), tick=False):
        fetch([cell])
    assert set(ForecastDay.objects.values_list("quality", flat=True)) == {"analysis"}


def test_a_forecast_asked_for_on_its_morning_is_a_forecast(fetch, cell):
    with time_machine.travel(datetime(2026, 7, 14, 13, 0, tzinfo=UTC), tick=False):
        fetch([cell])
    assert set(ForecastDay.objects.values_list("quality", flat=True)) == {"forecast"}


@pytest.mark.parametrize(
    ("known", "first"),
    [
        ((), ago(30)),
        (range(1, 15), ago(3)),
        (range(4, 60), ago(3)),
        (range(10, 15), ago(9)),
        (range(40, 60), ago(39)),
        (range(200, 210), ago(92)),
        ([1, 2, 3, 5, 6, 7], ago(4)),
    ],
    ids=["new", "all", "three lacking", "gap", "long away", "very long away", "hole"],
)
def test_as_far_back_is_asked_as_days_are_missing(fetch, stand_in, cell, known, first):
    for days in known:
        observed(cell, ago(days), quality="analysis")
    fetch([cell])
    assert min(asked["first"] for asked in stand_in.asked) == first


def test_cells_of_other_time_zones_are_left_alone_unless_given(open_meteo, cell):
    other = a_cell(1, timezone="America/New_York")
    fetch_due(on=ON, timezone=TIMEZONE, source=open_meteo)
    assert set(ObservedDay.objects.values_list("cell", flat=True)) == {cell.pk}
    assert other.pk != cell.pk


def test_a_first_day_can_be_given(fetch, stand_in, cell):
    fetch([cell], first=ON - timedelta(days=60))
    assert ObservedDay.objects.count() == 60
