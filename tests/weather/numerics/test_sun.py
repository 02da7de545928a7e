"""The sun's place against FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), chapter 3."""

import math

import numpy as np
import pytest

from weather.numerics.sun import (
    daylight_hours,
    extraterrestrial_radiation,
    inverse_relative_distance,
    latitude_radians,
    solar_declination,
    sunset_hour_angle,
)


def test_latitudes_of_bangkok_and_rio_in_radians():
    """FAO-56, chapter 3, example 7, page 46: 13 degrees 44 minutes north, 22 degrees 54 minutes south."""
    assert latitude_radians(13 + 44 / 60) == pytest.approx(0.240, abs=0.0005)
    assert latitude_radians(-(22 + 54 / 60)) == pytest.approx(-0.400, abs=0.0005)


def test_the_sun_on_3_september_at_20_south():
    """FAO-56, chapter 3, example 8, page 47."""
    latitude, declination = latitude_radians(-20), solar_declination(246)
    assert inverse_relative_distance(246) == pytest.approx(0.985, abs=0.0005)
    assert declination == pytest.approx(0.120, abs=0.0005)
    assert sunset_hour_angle(-20, 246) == pytest.approx(1.527, abs=0.0005)
    assert math.sin(latitude) * math.sin(declination) == pytest.approx(-0.041, abs=0.0005)
    assert math.cos(latitude) * math.cos(declination) == pytest.approx(0.933, abs=0.0005)


@pytest.mark.parametrize(
    ("latitude_deg", "day", "radiation_mj_m2", "within"),
    [
        (-20, 246, 32.2, 0.05),  # example 8, page 47
        (-22.9, 135, 25.1, 0.05),  # examples 10 and 11, pages 50 and 52: from memory
        (45.72, 196, 40.6, 0.05),  # example 15, page 61
        (13.73, 105, 38.06, 0.005),  # chapter 4, example 17, page 70
        (50.8, 187, 41.09, 0.005),  # chapter 4, example 18, page 72
    ],
)
def test_radiation_above_the_atmosphere_is_as_printed(latitude_deg, day, radiation_mj_m2, within):
    assert extraterrestrial_radiation(latitude_deg, day) == pytest.approx(radiation_mj_m2, abs=within)


def test_radiation_above_the_atmosphere_as_water():
    """FAO-56, chapter 3, example 8, page 47: 13.1 mm a day, with 0.408 mm per MJ."""
    assert 0.408 * extraterrestrial_radiation(-20, 246) == pytest.approx(13.1, abs=0.05)


@pytest.mark.parametrize(
    ("latitude_deg", "day", "hours", "within"),
    [
        (-20, 246, 11.7, 0.05),  # example 9, page 49
        (13.73, 105, 12.31, 0.005),  # chapter 4, example 17, page 70
        (50.8, 187, 16.1, 0.05),  # chapter 4, example 18, page 72
    ],
)
def test_daylight_is_as_printed(latitude_deg, day, hours, within):
    assert daylight_hours(latitude_deg, day) == pytest.approx(hours, abs=within)


def test_polar_night_is_dark_and_the_midnight_sun_does_not_set():
    assert daylight_hours(80, [1, 172]) == pytest.approx([0.0, 24.0])
    night, day = extraterrestrial_radiation(90, [1, 172])
    assert night == 0.0
    # At the pole the sun stands at its declination all day: 118.08 x 0.9676 x sin(0.409).
    assert day == pytest.approx(118.08 * 0.9676 * 0.3977, abs=0.05)


def test_the_edge_of_the_polar_night_is_never_darker_than_dark():
    found = extraterrestrial_radiation(np.linspace(66, 90, 2_000), np.arange(1, 367)[:, np.newaxis])
    assert found.min() == 0.0


def test_days_by_cells_come_out_days_first():
    days, latitudes = np.array([[246], [105]]), np.array([-20.0, 13.73, 50.8])
    found = extraterrestrial_radiation(latitudes, days)
    assert found.shape == (2, 3)
    assert found[0, 0] == pytest.approx(32.2, abs=0.05)
    assert found[1, 1] == pytest.approx(38.06, abs=0.005)


def test_nan_in_gives_nan_out():
    found = extraterrestrial_radiation([np.nan, -20], 246)
    assert np.isnan(found[0])
    assert found[1] == pytest.approx(32.2, abs=0.05)
    assert np.isnan(daylight_hours(10, np.nan))


@pytest.mark.parametrize("wrong", [-91, 90.5])
def test_an_impossible_latitude_is_named(wrong):
    with pytest.raises(ValueError, match=f"^latitude_deg is {wrong}; it must lie within -90 to 90$"):
        extraterrestrial_radiation(wrong, 100)


@pytest.mark.parametrize("wrong", [0, 367])
def test_an_impossible_day_is_named(wrong):
    with pytest.raises(ValueError, match=f"^day_of_year is {wrong}; it must lie within 1 to 366$"):
        daylight_hours(40, [100, wrong])
