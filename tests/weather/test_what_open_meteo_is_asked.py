"""The request: fixed units, explicit places and dates, short addresses, the key out of sight."""

from datetime import date, timedelta

import pytest

from tests.weather.conftest import ON, many_cells
from weather.services.cells import cell_for

pytestmark = pytest.mark.django_db

NINE = {
    "temperature_2m_max",
    "temperature_2m_min",
    "dew_point_2m_mean",
    "relative_humidity_2m_mean",
    "wind_speed_10m_mean",
    "shortwave_radiation_sum",
    "et0_fao_evapotranspiration",
    "precipitation_sum",
    "precipitation_probability_max",
}


def test_units_are_asked_for_explicitly(open_meteo, stand_in, cell):
    open_meteo.fetch([cell], first=ON, last=ON, on=ON)
    (asked,) = stand_in.asked
    assert asked["temperature_unit"] == "celsius"
    assert asked["wind_speed_unit"] == "ms"
    assert asked["precipitation_unit"] == "mm"
    assert asked["timeformat"] == "iso8601"


def test_nine_daily_variables_are_asked_for(open_meteo, stand_in, cell):
    open_meteo.fetch([cell], first=ON, last=ON, on=ON)
    assert set(stand_in.asked[0]["daily"]) == NINE


def test_every_place_has_its_own_height_and_time_zone(open_meteo, stand_in, cells):
    open_meteo.fetch(cells, first=ON, last=ON, on=ON)
    (asked,) = stand_in.asked
    assert asked["longitude"] == ["-121.605", "-121.575", "-121.545"]
    assert asked["elevation"] == ["10", "10", "10"]
    assert asked["timezone"] == ["America/Los_Angeles"] * 3


def test_dates_are_explicit_and_both_included(open_meteo, stand_in, cell):
    open_meteo.fetch([cell], first=date(2026, 7, 11), last=date(2026, 7, 23), on=ON)
    (asked,) = stand_in.asked
    assert (asked["first"], asked["last"]) == (date(2026, 7, 11), date(2026, 7, 23))
    assert "past_days" not in asked and "forecast_days" not in asked


def test_a_few_places_go_in_the_address_and_many_as_a_body(open_meteo, stand_in):
    cells = many_cells(200)
    open_meteo.fetch(cells[:60], first=ON, last=ON, on=ON)
    open_meteo.fetch(cells, first=ON, last=ON, on=ON)
    assert [asked["method"] for asked in stand_in.asked] == ["GET", "POST"]
    assert len(stand_in.asked[1]["latitude"]) == 200
    assert [len(query) < 4000 for query in stand_in.queries] == [True, True]


def test_a_body_holds_lists_one_entry_for_each_place(open_meteo, stand_in):
    open_meteo.fetch(many_cells(61), first=ON, last=ON, on=ON)
    (asked,) = stand_in.asked
    assert asked["start_date"] == ["2026-07-14"] * 61
    assert asked["elevation"] == [10] * 61


def test_batches_are_no_larger_than_the_setting(open_meteo, stand_in):
    open_meteo.batch = 40
    answer = open_meteo.fetch(many_cells(100), first=ON, last=ON, on=ON)
    assert [len(asked["latitude"]) for asked in stand_in.asked] == [40, 40, 20]
    assert len(answer.cells) == 100


def test_the_key_travels_in_a_header_and_never_in_the_address(open_meteo, stand_in, cell):
    open_meteo.key = "a-secret"
    open_meteo.fetch([cell], first=ON, last=ON, on=ON)
    assert stand_in.headers[0]["X-Api-Key"] == "a-secret"
    assert "a-secret" not in stand_in.queries[0]


def test_without_a_key_no_key_is_sent(open_meteo, stand_in, cell):
    open_meteo.fetch([cell], first=ON, last=ON, on=ON)
    assert "X-Api-Key" not in stand_in.headers[0]


def test_a_clients_own_coordinate_is_never_sent(open_meteo, stand_in):
    cell = cell_for(latitude=38.44127, longitude=-121.62073, elevation_m=12.4, timezone="America/Los_Angeles")
    open_meteo.fetch([cell], first=ON, last=ON, on=ON)
    assert stand_in.asked[0]["latitude"] == ["38.445"]
    assert stand_in.asked[0]["longitude"] == ["-121.635"]
    assert "44127" not in stand_in.queries[0] and "62073" not in stand_in.queries[0]


def test_days_more_than_92_back_come_from_the_archive(open_meteo, stand_in, cell):
    answer = open_meteo.fetch([cell], first=ON - timedelta(days=100), last=ON + timedelta(days=9), on=ON)
    assert stand_in.paths == ["/v1/archive", "/v1/forecast"]
    assert stand_in.asked[0]["last"] == ON - timedelta(days=93)
    assert stand_in.asked[1]["first"] == ON - timedelta(days=92)
    days = [day for part in answer.cells[cell.pk] for day in part.days]
    assert len(days) == 110
    assert {day.quality for day in days if day.date < ON - timedelta(days=92)} == {"reanalysis"}
    assert {day.quality for day in days if ON - timedelta(days=92) <= day.date < ON} == {"analysis"}
    assert {day.quality for day in days if day.date >= ON} == {"forecast"}


def test_a_year_is_one_request(open_meteo, stand_in, cell):
    open_meteo.fetch([cell], first=date(2025, 1, 1), last=date(2025, 12, 31), on=ON)
    assert stand_in.paths == ["/v1/archive"]
