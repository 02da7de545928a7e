"""Actual vapour pressure against FAO Irrigation and Drainage Paper 56 (Allen et al. 1998)."""

import numpy as np
import pytest

from weather.numerics.atmosphere import air_pressure
from weather.numerics.humidity import (
    vapour_pressure_from_dew_point,
    vapour_pressure_from_humidity_extremes,
    vapour_pressure_from_maximum_humidity,
    vapour_pressure_from_mean_humidity,
    vapour_pressure_from_minimum_temperature,
    vapour_pressure_from_psychrometer,
)


def test_vapour_pressure_from_a_ventilated_psychrometer():
    """FAO-56, chapter 3, example 4, page 38: 25.6 dry, 19.5 wet, at 1200 m (87.9 kPa)."""
    assert air_pressure(1200) == pytest.approx(87.9, abs=0.05)
    found = vapour_pressure_from_psychrometer(dry_c=25.6, wet_c=19.5, pressure_kpa=air_pressure(1200))
    assert found == pytest.approx(1.91, abs=0.005)


def test_vapour_pressure_from_the_humidity_extremes():
    """FAO-56, chapter 3, example 5, page 39."""
    found = vapour_pressure_from_humidity_extremes(
        t_min_c=18, t_max_c=25, humidity_max=0.82, humidity_min=0.54
    )
    assert found == pytest.approx(1.70, abs=0.005)


def test_vapour_pressure_from_the_mean_humidity():
    """FAO-56, chapter 3, example 5, page 39: (0.82 + 0.54) / 2."""
    found = vapour_pressure_from_mean_humidity(t_min_c=18, t_max_c=25, humidity_mean=0.68)
    assert found == pytest.approx(1.78, abs=0.005)


def test_vapour_pressure_of_the_worked_day_at_uccle():
    """FAO-56, chapter 4, example 18, page 72."""
    found = vapour_pressure_from_humidity_extremes(
        t_min_c=12.3, t_max_c=21.5, humidity_max=0.84, humidity_min=0.63
    )
    assert found == pytest.approx(1.409, abs=0.0005)


def test_deficit_is_what_the_air_could_still_take_up():
    """FAO-56, chapter 3, example 6, page 39: (2.064 + 3.168) / 2 - 1.70, printed from rounded parts."""
    held = vapour_pressure_from_humidity_extremes(
        t_min_c=18, t_max_c=25, humidity_max=0.82, humidity_min=0.54
    )
    assert (2.064 + 3.168) / 2 - held == pytest.approx(0.91, abs=0.005)


def test_dew_point_and_lowest_temperature_follow_the_saturation_curve():
    """FAO-56, chapter 3, example 3, page 36: 1.705 kPa at 15 degrees and 3.075 at 24.5."""
    assert vapour_pressure_from_dew_point(15.0) == pytest.approx(1.705, abs=0.0005)
    assert vapour_pressure_from_minimum_temperature(15.0) == pytest.approx(1.705, abs=0.0005)
    assert vapour_pressure_from_minimum_temperature(27.5, 3.0) == pytest.approx(3.075, abs=0.0005)


def test_maximum_humidity_alone_is_taken_at_the_lowest_temperature():
    """FAO-56, chapter 3, example 5, page 39: half of the sum there is 2.064 x 0.82."""
    assert vapour_pressure_from_maximum_humidity(18, 0.82) == pytest.approx(2.064 * 0.82, abs=0.0005)


def test_humidity_a_little_above_one_counts_as_one():
    assert vapour_pressure_from_maximum_humidity(15.0, 1.06) == pytest.approx(1.705, abs=0.0005)


def test_a_very_dry_psychrometer_never_gives_a_negative_pressure():
    assert vapour_pressure_from_psychrometer(dry_c=50, wet_c=5, pressure_kpa=101.3) == 0.0


def test_days_and_cells_broadcast_against_each_other():
    found = vapour_pressure_from_humidity_extremes(
        t_min_c=np.full((4, 1), 18.0), t_max_c=25.0, humidity_max=np.full(3, 0.82), humidity_min=0.54
    )
    assert found == pytest.approx(np.full((4, 3), 1.70), abs=0.005)


def test_nan_in_gives_nan_out():
    assert np.isnan(vapour_pressure_from_dew_point(np.nan))
    assert np.isnan(vapour_pressure_from_minimum_temperature(np.nan))
    assert np.isnan(vapour_pressure_from_maximum_humidity(15, np.nan))
    assert np.isnan(vapour_pressure_from_psychrometer(dry_c=25, wet_c=np.nan, pressure_kpa=101))
    found = vapour_pressure_from_mean_humidity(t_min_c=[18, 18], t_max_c=25, humidity_mean=[np.nan, 0.68])
    assert np.isnan(found[0])
    assert found[1] == pytest.approx(1.78, abs=0.005)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: vapour_pressure_from_mean_humidity(t_min_c=18, t_max_c=25, humidity_mean=68),
            "humidity_mean is 68; it must lie within 0 to 1.1",
        ),
        (
            lambda: vapour_pressure_from_maximum_humidity(18, -0.1),
            "humidity_max is -0.1; it must lie within 0 to 1.1",
        ),
        (
            lambda: vapour_pressure_from_minimum_temperature(18, 12),
            "dew_point_offset_c is 12; it must lie within 0 to 10",
        ),
        (
            lambda: vapour_pressure_from_psychrometer(dry_c=20, wet_c=22, pressure_kpa=101),
            "dry_c - wet_c is -2; it must lie within 0 to 160",
        ),
        (
            lambda: vapour_pressure_from_humidity_extremes(
                t_min_c=26, t_max_c=25, humidity_max=0.8, humidity_min=0.5
            ),
            "t_min_c is 26; it must lie within -90 to t_max_c, here 25",
        ),
    ],
)
def test_an_impossible_argument_is_named_with_its_value_and_range(call, message):
    with pytest.raises(ValueError, match=f"^{message}$"):
        call()
