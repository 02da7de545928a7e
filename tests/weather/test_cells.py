"""Which cell a place belongs to, and that its own coordinate ends there."""

from typing import Any

import pytest
from django.core.exceptions import ValidationError

from common.errors import Refused
from weather.models import WeatherCell
from weather.services.cells import cell_for

pytestmark = pytest.mark.django_db

HERE: dict[str, Any] = {
    "latitude": 38.4412,
    "longitude": -121.6207,
    "elevation_m": 12.0,
    "timezone": "America/Los_Angeles",
}


def test_a_cell_is_the_middle_of_a_square_of_3_hundredths_of_a_degree():
    cell = cell_for(**HERE)
    assert (cell.latitude, cell.longitude, cell.elevation_m) == (38.445, -121.635, 10.0)


def test_neighbours_share_a_cell():
    assert cell_for(**HERE) == cell_for(**HERE | {"latitude": 38.4587, "longitude": -121.6485})
    assert WeatherCell.objects.count() == 1


def test_the_next_square_is_another_cell():
    assert cell_for(**HERE) != cell_for(**HERE | {"latitude": 38.4613})


@pytest.mark.parametrize(("elevation_m", "shared"), [(85.0, True), (86.0, False), (-60.0, True)])
def test_places_more_than_75_m_from_the_cells_height_get_their_own(elevation_m, shared):
    assert (cell_for(**HERE) == cell_for(**HERE | {"elevation_m": elevation_m})) is shared


def test_of_several_heights_the_nearest_is_taken():
    low, high = cell_for(**HERE), cell_for(**HERE | {"elevation_m": 100.0})
    assert cell_for(**HERE | {"elevation_m": 40.0}) == low
    assert cell_for(**HERE | {"elevation_m": 70.0}) == high


def test_another_time_zone_is_another_cell():
    assert cell_for(**HERE) != cell_for(**HERE | {"timezone": "America/Denver"})


@pytest.mark.parametrize(
    ("latitude", "longitude"), [(90.0, 180.0), (-90.0, -180.0), (0.0, 0.0), (-0.0001, -0.0001)]
)
def test_every_place_on_earth_has_a_cell(latitude, longitude):
    cell = cell_for(**HERE | {"latitude": latitude, "longitude": longitude})
    assert abs(cell.latitude - latitude) <= 0.015 + 1e-9
    assert abs(cell.longitude - longitude) <= 0.015 + 1e-9


def test_a_coordinate_on_a_line_always_falls_on_the_same_side():
    assert cell_for(**HERE | {"latitude": 38.43}).latitude == 38.445
    assert cell_for(**HERE | {"latitude": 0.03 * 1281}).latitude == 38.445


def test_a_time_zone_that_is_none_is_refused():
    with pytest.raises(Refused, match="isn't a time zone"):
        cell_for(**HERE | {"timezone": "America/Atlantis"})
    assert not WeatherCell.objects.exists()


def test_a_place_that_is_none_is_refused():
    with pytest.raises(ValidationError):
        cell_for(**HERE | {"elevation_m": 12_000.0})
