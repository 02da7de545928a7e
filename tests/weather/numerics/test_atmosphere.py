"""Pressure, saturation and wind against FAO Irrigation and Drainage Paper 56 (Allen et al. 1998)."""

import numpy as np
import pytest

from weather.numerics.atmosphere import (
    air_pressure,
    mean_saturation_vapour_pressure,
    psychrometric_constant,
    saturation_slope,
    saturation_vapour_pressure,
    wind_at_2m,
)


def test_pressure_and_psychrometric_constant_at_1800_m():
    """FAO-56, chapter 3, example 2, page 32."""
    assert air_pressure(1800) == pytest.approx(81.8, abs=0.05)
    assert psychrometric_constant(air_pressure(1800)) == pytest.approx(0.054, abs=0.0005)


@pytest.mark.parametrize(
    ("elevation_m", "pressure_kpa", "constant_kpa_c"),
    [
        (2, 101.3, 0.0674),  # FAO-56, chapter 4, example 17, page 70: Bangkok
        (100, 100.1, 0.0666),  # FAO-56, chapter 4, example 18, page 72: Uccle
    ],
)
def test_pressure_and_psychrometric_constant_of_the_worked_days(elevation_m, pressure_kpa, constant_kpa_c):
    assert air_pressure(elevation_m) == pytest.approx(pressure_kpa, abs=0.05)
    # Bangkok's is printed from a rounded pressure, hence 7e-5 instead of half a digit.
    assert psychrometric_constant(air_pressure(elevation_m)) == pytest.approx(constant_kpa_c, abs=7e-5)


@pytest.mark.parametrize(
    ("t_c", "saturation_kpa", "within"),
    [
        (24.5, 3.075, 0.0005),  # FAO-56, chapter 3, example 3, page 36
        (15.0, 1.705, 0.0005),  # the same
        (19.75, 2.30, 0.005),  # the same, at the mean temperature
        (19.5, 2.267, 0.0005),  # FAO-56, chapter 3, example 4, page 38
        (18.0, 2.064, 0.0005),  # FAO-56, chapter 3, example 5, page 39
        (25.0, 3.168, 0.0005),  # the same
        (21.5, 2.564, 0.0005),  # FAO-56, chapter 4, example 18, page 72
        (12.3, 1.431, 0.0005),  # the same
    ],
)
def test_saturation_vapour_pressure_is_as_printed(t_c, saturation_kpa, within):
    assert saturation_vapour_pressure(t_c) == pytest.approx(saturation_kpa, abs=within)


@pytest.mark.parametrize(
    ("t_min_c", "t_max_c", "saturation_kpa", "within"),
    [
        (15.0, 24.5, 2.39, 0.005),  # FAO-56, chapter 3, example 3, page 36
        (25.6, 34.8, 4.42, 0.005),  # FAO-56, chapter 4, example 17, page 70
        (12.3, 21.5, 1.997, 0.001),  # FAO-56, chapter 4, example 18, page 72: from two rounded parts
    ],
)
def test_mean_saturation_is_that_of_the_extremes(t_min_c, t_max_c, saturation_kpa, within):
    assert mean_saturation_vapour_pressure(t_min_c, t_max_c) == pytest.approx(saturation_kpa, abs=within)


@pytest.mark.parametrize(
    ("t_c", "slope_kpa_c"),
    [
        (30.2, 0.246),  # FAO-56, chapter 4, example 17, page 70
        (16.9, 0.122),  # FAO-56, chapter 4, example 18, page 72
    ],
)
def test_slope_is_as_printed(t_c, slope_kpa_c):
    assert saturation_slope(t_c) == pytest.approx(slope_kpa_c, abs=0.0005)


def test_wind_measured_at_10_m_is_brought_down_to_2_m():
    """FAO-56, chapter 3, example 14, page 56, and chapter 4, example 18, page 72."""
    assert wind_at_2m(1.0, 10) == pytest.approx(0.75, abs=0.005)
    assert wind_at_2m(3.2, 10) == pytest.approx(2.4, abs=0.05)
    assert wind_at_2m(10 / 3.6, 10) == pytest.approx(2.078, abs=0.0005)


def test_days_and_cells_broadcast_against_each_other():
    days_first = wind_at_2m(np.full((3, 2), 3.2), np.array([10.0, 10.0]))
    assert days_first.shape == (3, 2)
    assert days_first == pytest.approx(np.full((3, 2), 2.4), abs=0.05)
    assert mean_saturation_vapour_pressure([[15.0], [12.3]], [[24.5], [21.5]]).shape == (2, 1)


def test_nan_in_gives_nan_out_and_leaves_its_neighbours_alone():
    assert np.isnan(air_pressure(np.nan))
    assert np.isnan(psychrometric_constant(np.nan))
    assert np.isnan(saturation_slope(np.nan))
    assert np.isnan(wind_at_2m(np.nan, 10))
    found = saturation_vapour_pressure([np.nan, 24.5])
    assert np.isnan(found[0])
    assert found[1] == pytest.approx(3.075, abs=0.0005)
    assert np.isnan(mean_saturation_vapour_pressure(np.nan, 20))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: air_pressure([0, 20_000]), "elevation_m is 20000; it must lie within -500 to 9000"),
        (lambda: psychrometric_constant(1013), "pressure_kpa is 1013; it must lie within 20 to 110"),
        (lambda: saturation_vapour_pressure([20, 293.15]), "t_c is 293.15; it must lie within -90 to 70"),
        (lambda: saturation_slope(-300), "t_c is -300; it must lie within -90 to 70"),
        (lambda: wind_at_2m(-1, 10), "wind_m_s is -1; it must lie within 0 to 120"),
        (lambda: wind_at_2m(1, 0), "height_m is 0; it must lie within 0.5 to 200"),
        (lambda: wind_at_2m(np.inf, 2), "wind_m_s is inf; it must lie within 0 to 120"),
        (
            lambda: mean_saturation_vapour_pressure([10, 21], [20, 20]),
            "t_min_c is 21; it must lie within -90 to t_max_c, here 20",
        ),
    ],
)
def test_an_impossible_argument_is_named_with_its_value_and_range(call, message):
    with pytest.raises(ValueError, match=f"^{message}$"):
        call()
