"""What the checks refuse and what they only point at.

Range limits are those of agweather-qaqc, an open package for agricultural weather stations. The limits on
radiation against the sun and all limits on reference ET are our own, no source.
"""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from weather.numerics.quality import (
    FLAGS,
    REJECTS,
    flag_bit,
    flag_names,
    screen_reference_et,
    screen_weather,
)
from weather.numerics.reference_et import METHODS, daily_reference_et

NAN = np.nan
# FAO-56, chapter 4, example 18, page 72: Uccle on 6 July, where Ra is 41.09 and Rso 30.90.
PLACE: dict[str, Any] = {"latitude_deg": 50.8, "elevation_m": 100.0, "day_of_year": 187}
FINE: dict[str, Any] = {
    "t_min_c": 12.3,
    "t_max_c": 21.5,
    "vapour_pressure_kpa": 1.409,
    "wind_2m_m_s": 2.078,
    "solar_radiation_mj_m2": 22.07,
    "rain_mm": 0.0,
}


def screened(**changed):
    weather, flags = screen_weather(**FINE | PLACE | changed)
    return {name for name, value in weather._asdict().items() if np.isnan(value)}, flag_names(int(flags))


def test_a_fine_day_passes_unchanged():
    weather, flags = screen_weather(**FINE, **PLACE)
    assert {name: float(value) for name, value in weather._asdict().items()} == FINE
    assert flags == 0


@pytest.mark.parametrize(
    ("changed", "flags", "rejected"),
    [
        ({"t_max_c": 61.0}, {"temperature out of range"}, {"t_min_c", "t_max_c"}),
        ({"t_min_c": -50.5}, {"temperature out of range"}, {"t_min_c", "t_max_c"}),
        ({"t_min_c": 22.0}, {"minimum above maximum temperature"}, {"t_min_c", "t_max_c"}),
        ({"wind_2m_m_s": 36.0}, {"wind out of range"}, {"wind_2m_m_s"}),
        ({"wind_2m_m_s": -0.1}, {"wind out of range"}, {"wind_2m_m_s"}),
        ({"rain_mm": 611.0}, {"rain out of range"}, {"rain_mm"}),
        ({"rain_mm": -1.0}, {"rain out of range"}, {"rain_mm"}),
        ({"vapour_pressure_kpa": -0.1}, {"vapour pressure out of range"}, {"vapour_pressure_kpa"}),
        # FAO-56, page 72: e0(21.5) is 2.564.
        ({"vapour_pressure_kpa": 2.6}, {"vapour pressure above saturation"}, {"vapour_pressure_kpa"}),
        ({"vapour_pressure_kpa": 2.5}, set(), set()),
        (
            {"solar_radiation_mj_m2": -0.5},
            {"radiation out of range", "radiation too low for any cloud"},
            None,
        ),
        ({"solar_radiation_mj_m2": 61.0}, {"radiation out of range", "radiation above clear sky"}, None),
        # 1.10 x 30.90 is 33.99, 0.03 x 41.09 is 1.233.
        ({"solar_radiation_mj_m2": 34.1}, {"radiation above clear sky"}, {"solar_radiation_mj_m2"}),
        ({"solar_radiation_mj_m2": 33.9}, set(), set()),
        ({"solar_radiation_mj_m2": 1.2}, {"radiation too low for any cloud"}, {"solar_radiation_mj_m2"}),
        ({"solar_radiation_mj_m2": 1.3}, set(), set()),
    ],
)
def test_what_cannot_be_right_is_flagged_and_rejected(changed, flags, rejected):
    found_rejected, found_flags = screened(**changed)
    assert set(found_flags) == flags
    assert found_rejected == (set(changed) if rejected is None else rejected)


def test_an_overcast_winter_day_in_the_north_is_believed():
    """At 55 north on 21 December Ra is about 4.2 MJ; a tenth of it is a usual overcast day."""
    winter = {
        "latitude_deg": 55,
        "day_of_year": 355,
        "solar_radiation_mj_m2": 0.42,
        "vapour_pressure_kpa": 0.6,
    }
    assert screened(**winter, t_min_c=1.0, t_max_c=4.0) == (set(), ())


def test_missing_values_get_no_flag():
    _, flags = screen_weather(**dict.fromkeys(FINE, NAN), **PLACE)
    assert flags == 0


def test_without_a_place_radiation_is_only_held_to_its_range():
    assert screened(latitude_deg=NAN, solar_radiation_mj_m2=59.0) == (set(), ())
    assert screened(elevation_m=NAN, solar_radiation_mj_m2=61.0)[1] == ("radiation out of range",)


def test_two_faults_give_two_flags():
    rejected, flags = screened(wind_2m_m_s=99.0, solar_radiation_mj_m2=35.0)
    assert rejected == {"wind_2m_m_s", "solar_radiation_mj_m2"}
    assert flags == ("wind out of range", "radiation above clear sky")


def test_days_and_cells_are_screened_each_for_itself():
    weather, flags = screen_weather(
        **FINE
        | PLACE
        | {
            "wind_2m_m_s": [[2.0, 50.0], [2.0, 2.0]],
            "day_of_year": [[187], [188]],
            "latitude_deg": [50.8, 51.0],
        }
    )
    assert np.isnan(weather.wind_2m_m_s).tolist() == [[False, True], [False, False]]
    assert flags.tolist() == [[0, flag_bit("wind out of range")], [0, 0]]
    assert {values.shape for values in weather} == {(2, 2)}


def test_rejected_radiation_is_made_up_for_by_the_fallback():
    weather, _ = screen_weather(**FINE | PLACE | {"solar_radiation_mj_m2": 44.0})
    inputs = {name: value for name, value in weather._asdict().items() if name != "rain_mm"}
    et_mm, method = daily_reference_et(**inputs, **PLACE)
    assert METHODS[int(method)] == "penman-monteith, no radiation"
    assert 3.0 < et_mm < 4.5


anything = st.floats(allow_nan=True, allow_infinity=True) | st.floats(-100, 100)


@given(st.fixed_dictionaries(dict.fromkeys(FINE, anything)), st.floats(-90, 90), st.integers(1, 366))
def test_whatever_passes_the_checks_the_equation_accepts(weather, latitude, day):
    place = {"latitude_deg": latitude, "elevation_m": 100.0, "day_of_year": day}
    passed, _ = screen_weather(**weather, **place)
    inputs = {name: value for name, value in passed._asdict().items() if name != "rain_mm"}
    et_mm, method = daily_reference_et(**inputs, **place)
    assert np.isnan(et_mm) == (METHODS[int(method)] == "none")
    assert np.isnan(et_mm) == (np.isnan(inputs["t_min_c"]) | np.isnan(inputs["t_max_c"]))


@pytest.mark.parametrize(
    ("changed", "flags", "rejected"),
    [
        ({}, set(), False),
        ({"et_mm": -0.1}, {"reference ET out of range"}, True),
        ({"et_mm": 15.2}, {"reference ET out of range"}, True),
        # FAO-56, page 47: Ra is 13.1 mm of water at 20 south on 3 September.
        (
            {"et_mm": 13.3, "latitude_deg": -20, "day_of_year": 246},
            {"reference ET above what the sun can evaporate"},
            True,
        ),
        ({"et_mm": 13.0, "latitude_deg": -20, "day_of_year": 246}, set(), False),
        ({"normal_mm": 1.9}, {"reference ET far from normal"}, False),
        ({"normal_mm": 16.0}, {"reference ET far from normal"}, False),
        ({"normal_mm": 2.0}, set(), False),
        ({"day_before_mm": 8.95}, {"reference ET jumped since the day before"}, False),
        ({"day_before_mm": 8.80}, set(), False),
        ({"source_mm": 2.80}, {"reference ET unlike the source's own"}, False),
        ({"source_mm": 4.85}, set(), False),
        ({"et_mm": 9.0, "source_mm": 7.8}, set(), False),
    ],
)
def test_reference_et_is_held_against_what_is_known(changed, flags, rejected):
    et_mm, found = screen_reference_et(**{"et_mm": 3.88, "latitude_deg": 50.8, "day_of_year": 187} | changed)
    assert set(flag_names(int(found))) == flags
    assert bool(np.isnan(et_mm)) is rejected


def test_reference_et_of_many_days_and_cells_is_screened_each_for_itself():
    et_mm, flags = screen_reference_et(
        et_mm=[[3.0, 20.0], [NAN, 4.0]], latitude_deg=[45.0, 46.0], day_of_year=[[180], [181]], normal_mm=4.0
    )
    assert np.isnan(et_mm).tolist() == [[False, True], [True, False]]
    assert "reference ET out of range" in flag_names(int(flags[0, 1]))
    assert flags[[0, 1, 1], [0, 0, 1]].tolist() == [0, 0, 0]


def test_flags_are_distinct_bits_and_only_known_ones_reject():
    assert [flag_bit(name) for name in FLAGS] == [2**position for position in range(14)]
    assert set(REJECTS) <= set(FLAGS)
    assert flag_names(0) == ()
    assert flag_names(2**0 + 2**13) == (FLAGS[0], FLAGS[13])


def test_an_impossible_place_is_named():
    with pytest.raises(ValueError, match=r"^elevation_m is 9100; it must lie within -500 to 9000$"):
        screen_weather(**FINE | PLACE | {"elevation_m": 9100})
    with pytest.raises(ValueError, match=r"^latitude_deg is 91; it must lie within -90 to 90$"):
        screen_reference_et(et_mm=3.0, latitude_deg=91, day_of_year=187)
