"""A year of hourly weather from the US National Solar Radiation Data Base: TMY3, Greensboro, North Carolina.

The file, 723170TYA.CSV, comes with pvlib. Tmin and Tmax are the extremes of 24 hourly temperatures, vapour
pressure is the mean of the hourly ones from the dew point, wind stands at 10 m. Its reference ET was worked
out with refet before ours existed: 1117 mm.
"""

from pathlib import Path

import numpy as np
import pvlib
import pytest

from tests.weather.numerics.other_libraries import by_pyet, by_refet
from weather.numerics.atmosphere import mean_saturation_vapour_pressure, wind_at_2m
from weather.numerics.humidity import vapour_pressure_from_dew_point
from weather.numerics.reference_et import METHODS, daily_reference_et

FILE = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
WATT_HOURS_TO_MJ = 0.0036


def year():
    """Return the year by days, ready for ``daily_reference_et``."""
    hours, station = pvlib.iotools.read_tmy3(FILE, map_variables=True)
    by_day = {
        name: hours[name].to_numpy(dtype=float).reshape(365, 24)
        for name in ("temp_air", "temp_dew", "wind_speed", "ghi")
    }
    days = {
        "t_min_c": by_day["temp_air"].min(axis=1),
        "t_max_c": by_day["temp_air"].max(axis=1),
        "vapour_pressure_kpa": vapour_pressure_from_dew_point(by_day["temp_dew"]).mean(axis=1),
        "wind_2m_m_s": wind_at_2m(by_day["wind_speed"].mean(axis=1), 10.0),
        "solar_radiation_mj_m2": by_day["ghi"].sum(axis=1) * WATT_HOURS_TO_MJ,
        "day_of_year": np.arange(1.0, 366.0),
    }
    place = {
        "latitude_deg": np.array([station["latitude"]]),
        "elevation_m": np.array([station["altitude"]]),
    }
    return {name: values[:, np.newaxis] for name, values in days.items()} | place


@pytest.fixture(scope="module")
def greensboro():
    return year()


def test_a_year_at_greensboro_takes_1117_mm(greensboro):
    et_mm, method = daily_reference_et(**greensboro)
    assert {METHODS[code] for code in method.flat} == {"penman-monteith"}
    assert et_mm.sum() == pytest.approx(1117, abs=1)


@pytest.mark.parametrize("library", [by_refet, by_pyet])
def test_two_other_libraries_find_the_same_year(greensboro, library):
    assert library(greensboro).sum() == pytest.approx(1117, abs=1)


@pytest.mark.parametrize("library", [by_refet, by_pyet])
def test_two_other_libraries_find_the_same_days_but_for_calm_and_foggy_ones(greensboro, library):
    ours, _ = daily_reference_et(**greensboro)
    apart = np.abs(ours - library(greensboro))
    calm = greensboro["wind_2m_m_s"] < 0.5
    saturated = mean_saturation_vapour_pressure(greensboro["t_min_c"], greensboro["t_max_c"])
    foggy = greensboro["vapour_pressure_kpa"] > saturated
    assert (calm.sum(), foggy.sum()) == (4, 1)
    assert apart[~calm & ~foggy].max() < 0.001
    assert apart.max() < 0.15


def test_radiation_lost_for_a_year_is_made_up_for_within_a_tenth(greensboro):
    """Common practice, no source: temperature-based radiation is good to a tenth over a year."""
    blind = greensboro | {"solar_radiation_mj_m2": np.full((365, 1), np.nan)}
    et_mm, method = daily_reference_et(**blind)
    assert {METHODS[code] for code in method.flat} == {"penman-monteith, no radiation"}
    assert et_mm.sum() == pytest.approx(1117, rel=0.1)
