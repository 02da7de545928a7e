"""Hargreaves-Samani against published worked examples."""

import numpy as np
import pytest

from weather.numerics.hargreaves import hargreaves_samani_et
from weather.numerics.sun import extraterrestrial_radiation


def test_a_worked_day_with_its_own_mean_temperature():
    """Mehta (2006), as quoted in the tests of the open library PyETo; its mean is not the middle."""
    found = hargreaves_samani_et(t_min_c=28, t_max_c=38, t_mean_c=35, extraterrestrial_mj_m2=38.93715)
    assert found == pytest.approx(6.1, abs=0.05)


def test_the_worked_month_at_lyon():
    """FAO-56, example 20, from memory: 5.0 mm. Its inputs are those of example 15, chapter 3, page 61."""
    above = extraterrestrial_radiation(45.72, 196)
    found = hargreaves_samani_et(t_min_c=14.8, t_max_c=26.6, extraterrestrial_mj_m2=above)
    assert found == pytest.approx(5.0, abs=0.05)


def test_very_cold_days_evaporate_nothing():
    assert hargreaves_samani_et(t_min_c=-35, t_max_c=-25, extraterrestrial_mj_m2=10) == 0.0


def test_days_and_cells_broadcast_against_each_other():
    found = hargreaves_samani_et(
        t_min_c=np.full((2, 3), 14.8), t_max_c=26.6, extraterrestrial_mj_m2=np.full(3, 40.6)
    )
    assert found == pytest.approx(np.full((2, 3), 5.0), abs=0.05)


def test_nan_in_gives_nan_out():
    found = hargreaves_samani_et(t_min_c=[14.8, np.nan], t_max_c=26.6, extraterrestrial_mj_m2=40.6)
    assert found[0] == pytest.approx(5.0, abs=0.05)
    assert np.isnan(found[1])


def test_swapped_temperatures_are_named():
    with pytest.raises(ValueError, match=r"^t_min_c is 26.6; it must lie within -90 to t_max_c, here 14.8$"):
        hargreaves_samani_et(t_min_c=26.6, t_max_c=14.8, extraterrestrial_mj_m2=40.6)


def test_an_impossible_radiation_is_named():
    with pytest.raises(ValueError, match=r"^extraterrestrial_mj_m2 is -1; it must lie within 0 to 100$"):
        hargreaves_samani_et(t_min_c=10, t_max_c=20, extraterrestrial_mj_m2=-1)
