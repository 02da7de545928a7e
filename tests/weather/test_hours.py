"""Hours of a source: asked for where wanted, read by what their labels mean, used where a day is whole."""

from datetime import date, datetime, timedelta
from typing import Any

import numpy as np
import pytest

from tests.weather.conftest import ON, TIMEZONE, many_cells
from tests.weather.stand_in import HOURLY_UNITS
from weather.models import ForecastDay, ObservedDay, SourceUsage
from weather.providers.open_meteo import OpenMeteo
from weather.providers.open_meteo.hours import read_hours
from weather.providers.open_meteo.pull import weight_of
from weather.services.fetch import fetch_due
from weather.services.normals import rebuild_normals

pytestmark = pytest.mark.django_db
HOURLY, DAILY = "hourly asce-ewri", "penman-monteith"
FIRST = ON - timedelta(days=3)
FOUR = {"temperature_2m", "dew_point_2m", "wind_speed_10m", "shortwave_radiation"}


@pytest.fixture
def by_hours(open_meteo: OpenMeteo) -> OpenMeteo:
    open_meteo.hours = True
    return open_meteo


def fetched(source: OpenMeteo, cell: Any) -> dict[date, str]:
    fetch_due(on=ON, timezone=TIMEZONE, cells=[cell], first=FIRST, source=source, again=True)
    days = dict(ObservedDay.objects.values_list("date", "et_method"))
    return days | dict(ForecastDay.objects.values_list("date", "et_method"))


def test_hours_are_not_asked_for_unless_the_installation_wants_them(open_meteo, stand_in, cell, settings):
    fetched(open_meteo, cell)
    assert "hourly" not in stand_in.asked[0]
    assert OpenMeteo.from_settings().hours is False
    settings.OPEN_METEO_HOURS = True
    assert OpenMeteo.from_settings().hours is True


def test_four_hourly_variables_go_with_the_same_request_at_1_3_times_its_weight(by_hours, stand_in, cell):
    by_hours.limits = {"minute": 600, "hour": 5_000, "day": 10_000}
    fetched(by_hours, cell)
    (asked,) = stand_in.asked
    assert set(asked["hourly"]) == FOUR
    assert [row.weight for row in SourceUsage.objects.all()] == [pytest.approx(1.3)] * 3
    assert weight_of(200, 13) == pytest.approx(200)
    assert weight_of(200, 13, hours=True) == pytest.approx(260)


def test_many_places_have_them_in_the_body(by_hours, stand_in):
    answer = by_hours.fetch(many_cells(61), first=ON, last=ON, on=ON)
    assert set(stand_in.asked[0]["hourly"]) == FOUR
    assert all(part.hours is not None for (part,) in answer.cells.values())


def test_whole_days_are_computed_by_the_hour_and_say_so(by_hours, cell):
    """The last day asked for lacks the label that ends it."""
    methods = fetched(by_hours, cell)
    last = max(methods)
    assert last == ON + timedelta(days=9)
    assert {day for day, method in methods.items() if method != HOURLY} == {last}
    assert methods[last] == DAILY


def test_the_inputs_stay_those_of_the_day_whatever_computes_its_reference_et(open_meteo, cell):
    fetched(open_meteo, cell)
    plain = ObservedDay.objects.get(date=FIRST)
    open_meteo.hours = True
    fetched(open_meteo, cell)
    hourly = ObservedDay.objects.get(date=FIRST)
    for name in ("t_min_c", "t_max_c", "vapour_pressure_kpa", "wind_2m_m_s", "solar_radiation_mj_m2"):
        assert getattr(hourly, name) == getattr(plain, name)
    assert hourly.reference_et_mm != plain.reference_et_mm
    assert hourly.reference_et_mm == pytest.approx(plain.reference_et_mm, rel=0.1)
    open_meteo.hours = False
    fetched(open_meteo, cell)
    again = ObservedDay.objects.get(date=FIRST)
    assert (again.et_method, again.reference_et_mm) == (DAILY, plain.reference_et_mm)


@pytest.mark.parametrize(
    ("hour", "daily"),
    [(5, {1}), (0, {0, 1}), (23, {1})],
    ids=["within a day", "where two days meet", "a day's last label"],
)
@pytest.mark.parametrize("name", sorted(FOUR))
def test_a_missing_hour_makes_its_day_daily_and_leaves_the_others(
    by_hours, stand_in, cell, name, hour, daily
):
    """Radiation of the label at midnight is the day's before alone."""
    usual, missing = stand_in.hour, datetime(FIRST.year, FIRST.month, FIRST.day + 1, hour)
    stand_in.hour = lambda label: usual(label) | ({name: None} if label == missing else {})
    if name == "shortwave_radiation" and hour == 0:
        daily = {0}
    methods = fetched(by_hours, cell)
    assert {day for day, method in methods.items() if method == DAILY} == {
        max(methods), *(FIRST + timedelta(days=n) for n in daily)
    }  # fmt: skip


def test_a_day_with_something_that_cannot_be_takes_the_daily_form_without_it(by_hours, stand_in, cell):
    usual = stand_in.day
    stand_in.day = lambda day: usual(day) | ({"shortwave_radiation_sum": 59.0} if day == FIRST else {})
    methods = fetched(by_hours, cell)
    assert methods[FIRST] == "penman-monteith, no radiation"
    assert methods[FIRST + timedelta(days=1)] == HOURLY


@pytest.mark.parametrize(
    "change",
    [
        lambda item: item.pop("hourly"),
        lambda item: item["hourly"].update(time=[]),
        lambda item: item["hourly"].update(time=item["hourly"]["time"][1:] + ["2026-08-01T00:00"]),
        lambda item: (
            item["hourly_units"].update(dict.fromkeys(FOUR, "undefined"))
            or item["hourly"].update({name: [None] * len(item["hourly"]["time"]) for name in FOUR})
        ),
    ],
    ids=["no hours", "no labels", "labels with a gap", "not carried by the model"],
)
def test_an_answer_without_hours_gives_its_days_all_the_same(by_hours, stand_in, cell, change):
    def changed(_: int, item: dict[str, Any]) -> dict[str, Any]:
        change(item)
        return item

    stand_in.change = changed
    assert set(fetched(by_hours, cell).values()) == {DAILY}


def test_hours_in_another_unit_are_not_stored(by_hours, stand_in, cell):
    stand_in.change = lambda _, item: (
        item | {"hourly_units": item["hourly_units"] | {"wind_speed_10m": "km/h"}}
    )
    answer = by_hours.fetch([cell], first=FIRST, last=ON, on=ON)
    assert [alert.code for alert in answer.alerts] == ["wrong_units"]
    assert not answer.cells


def test_an_hour_is_made_of_the_labels_at_its_ends():
    """20 and 22 degC at its ends are 21; 500 W/m2 in the hour before a label are 1.8 MJ/m2 of that hour.

    FAO-56, example 14: 3.2 m/s at 10 m are 2.4 m/s at 2 m; annex 2, table 2.3: 17.0 degC is 1.938 kPa.
    """
    item = {
        "utc_offset_seconds": -25200,
        "hourly_units": HOURLY_UNITS,
        "hourly": {
            "time": [f"2026-07-11T{hour:02d}:00" for hour in range(24)],
            "temperature_2m": [20.0, 22.0] + [None] * 22,
            "dew_point_2m": [17.0] * 24,
            "wind_speed_10m": [3.2] * 24,
            "shortwave_radiation": [-2.0, 500.0, -3.0] + [2000.0] * 21,
        },
    }  # fmt: skip
    hours = read_hours(item)
    assert hours is not None
    assert (hours.first, hours.utc_offset_h) == (date(2026, 7, 11), -7.0)
    assert hours.t_c[0] == 21.0 and np.isnan(hours.t_c[1:]).all()
    assert hours.solar_radiation_mj_m2[:2].tolist() == [pytest.approx(1.8), 0.0]
    assert np.isnan(hours.solar_radiation_mj_m2[2:]).all()  # no sun is that strong
    assert hours.wind_2m_m_s[:-1] == pytest.approx(2.4, abs=0.01)
    assert hours.vapour_pressure_kpa[:-1] == pytest.approx(1.938, abs=0.001)
    assert np.isnan(hours.wind_2m_m_s[-1])


def test_the_sun_is_told_by_the_clock_of_the_answer(by_hours, stand_in, cell):
    """An hour's error of the clock moves the height of the sun, and so the clouds that are told from it."""
    right = fetched(by_hours, cell) and ObservedDay.objects.get(date=FIRST).reference_et_mm
    stand_in.change = lambda _, item: item | {"utc_offset_seconds": -28800}
    wrong = fetched(by_hours, cell) and ObservedDay.objects.get(date=FIRST).reference_et_mm
    assert right != wrong
    assert right == pytest.approx(wrong, rel=0.05)


def test_normals_are_means_of_days_however_each_was_computed(by_hours, cell):
    fetched(by_hours, cell)
    rows = [
        ObservedDay(cell=cell, date=date(2026, 6, n), reference_et_mm=5.0, et_method=m)
        for n, m in zip(range(1, 21), [HOURLY, DAILY] * 10, strict=True)
    ]
    ObservedDay.objects.bulk_create(rows)
    assert rebuild_normals(cells=[cell]) == 1
    assert cell.normals.get().reference_et_mm == 5.0
