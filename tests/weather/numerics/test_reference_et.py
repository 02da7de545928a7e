"""What the service calls: every fallback of FAO-56 chapter 3, shapes, limits and refusals.

FAO-56: Allen, Pereira, Raes, Smith (1998), FAO Irrigation and Drainage Paper 56.
"""

import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.weather.numerics.invented_weather import invented_weather
from tests.weather.numerics.other_libraries import by_refet
from weather.numerics.reference_et import METHODS, daily_reference_et

NAN = np.nan
UCCLE: dict[str, Any] = {
    "t_min_c": 12.3,
    "t_max_c": 21.5,
    "vapour_pressure_kpa": 1.409,
    "wind_2m_m_s": 2.078,
    "solar_radiation_mj_m2": 22.07,
    "latitude_deg": 50.8,
    "elevation_m": 100,
    "day_of_year": 187,
}
LYON: dict[str, Any] = {
    "t_min_c": 14.8,
    "t_max_c": 26.6,
    "vapour_pressure_kpa": NAN,
    "wind_2m_m_s": NAN,
    "solar_radiation_mj_m2": NAN,
    "latitude_deg": 45.72,
    "elevation_m": 200,
    "day_of_year": 196,
}


def one(**weather):
    et_mm, method = daily_reference_et(**weather)
    return float(et_mm), METHODS[int(method)]


def refet_of(**weather):
    """What refet makes of one complete day."""
    return float(by_refet({name: np.array([[float(value)]]) for name, value in weather.items()})[0, 0])


def test_the_worked_day_at_uccle_needs_no_fallback():
    """FAO-56, chapter 4, example 18, page 73: 3.88 mm."""
    et_mm, method = one(**UCCLE)
    assert et_mm == pytest.approx(3.88, abs=0.005)
    assert method == "penman-monteith"


def test_missing_humidity_and_wind_are_filled_in_as_in_the_worked_month_at_lyon():
    """FAO-56, example 20, from memory: 4.56 mm with Rs 22.3 (example 15, page 61), Tdew = Tmin and 2 m/s."""
    et_mm, method = one(**LYON | {"solar_radiation_mj_m2": 22.3})
    assert et_mm == pytest.approx(4.56, abs=0.005)
    assert method == "penman-monteith, no humidity/wind"


def test_temperatures_alone_take_hargreaves_samani():
    """FAO-56, example 20, from memory: 5.0 mm by eq. 52 for the same month."""
    et_mm, method = one(**LYON)
    assert et_mm == pytest.approx(5.0, abs=0.05)
    assert method == "hargreaves-samani"


@pytest.mark.parametrize(
    ("missing", "filled", "method"),
    [
        # The printed values the fallbacks stand for: Rs 22.3 (example 15, page 61), e0(14.8) = 1.684, 2 m/s.
        ({"solar_radiation_mj_m2"}, {"solar_radiation_mj_m2": 22.3}, "penman-monteith, no radiation"),
        ({"vapour_pressure_kpa"}, {"vapour_pressure_kpa": 1.684}, "penman-monteith, no humidity"),
        ({"wind_2m_m_s"}, {"wind_2m_m_s": 2.0}, "penman-monteith, no wind"),
        (
            {"solar_radiation_mj_m2", "vapour_pressure_kpa"},
            {"solar_radiation_mj_m2": 22.3, "vapour_pressure_kpa": 1.684},
            "penman-monteith, no radiation/humidity",
        ),
        (
            {"solar_radiation_mj_m2", "wind_2m_m_s"},
            {"solar_radiation_mj_m2": 22.3, "wind_2m_m_s": 2.0},
            "penman-monteith, no radiation/wind",
        ),
        (
            {"vapour_pressure_kpa", "wind_2m_m_s"},
            {"vapour_pressure_kpa": 1.684, "wind_2m_m_s": 2.0},
            "penman-monteith, no humidity/wind",
        ),
    ],
)
def test_each_missing_input_is_filled_in_and_named(missing, filled, method):
    measured = LYON | {"solar_radiation_mj_m2": 18.0, "vapour_pressure_kpa": 1.2, "wind_2m_m_s": 3.1}
    et_mm, found = one(**measured | dict.fromkeys(missing, NAN))
    assert found == method
    assert et_mm == pytest.approx(refet_of(**measured | filled), abs=0.01)


@pytest.mark.parametrize(
    ("offset_c", "vapour_pressure_kpa"),
    [(0.0, 1.705), (2.7, 1.430)],  # FAO-56, page 36: e0(15.0) = 1.705; page 72: e0(12.3) = 1.431
)
def test_in_arid_air_the_dew_point_stays_below_the_lowest_temperature(offset_c, vapour_pressure_kpa):
    dry = UCCLE | {"t_min_c": 15.0}
    et_mm, _ = one(**dry | {"vapour_pressure_kpa": NAN, "dew_point_offset_c": offset_c})
    assert et_mm == pytest.approx(refet_of(**dry | {"vapour_pressure_kpa": vapour_pressure_kpa}), abs=0.002)


def test_the_coast_is_brighter_where_radiation_is_missing():
    """FAO-56, chapter 3, eq. 50: 0.19 against 0.16; 9.2 degrees of range under 41.09 MJ (page 72)."""
    blind = UCCLE | {"solar_radiation_mj_m2": NAN}
    inland, at_the_coast = (one(**blind, coastal=coastal)[0] for coastal in (False, True))
    assert inland == pytest.approx(refet_of(**UCCLE | {"solar_radiation_mj_m2": 19.94}), abs=0.002)
    assert at_the_coast == pytest.approx(refet_of(**UCCLE | {"solar_radiation_mj_m2": 23.68}), abs=0.002)


def test_radiation_from_temperatures_never_exceeds_a_clear_sky():
    """FAO-56, chapter 4, example 18, page 73: Rso is 30.90; 0.16 x 6 x 41.09 would be 39.4."""
    wide = UCCLE | {"t_min_c": 0.0, "t_max_c": 36.0, "solar_radiation_mj_m2": NAN}
    assert one(**wide)[0] == pytest.approx(refet_of(**wide | {"solar_radiation_mj_m2": 30.90}), abs=0.001)


def test_calm_wind_counts_as_half_a_metre_per_second():
    """FAO-56, chapter 3, on wind data: u2 is limited to at least 0.5 m/s in the ETo equation."""
    found = [one(**UCCLE | {"wind_2m_m_s": speed})[0] for speed in (0.0, 0.3, 0.5, 0.6)]
    assert found[0] == found[1] == found[2] < found[3]


def test_a_dark_winter_day_evaporates_nothing_rather_than_less():
    dark = {"solar_radiation_mj_m2": 0.5, "vapour_pressure_kpa": 0.7, "latitude_deg": 60, "day_of_year": 355}
    cold = UCCLE | dark | {"t_min_c": 1.0, "t_max_c": 3.0, "wind_2m_m_s": 0.5}
    assert refet_of(**cold) < 0
    assert one(**cold) == (0.0, "penman-monteith")


def test_polar_night_has_a_value():
    night = UCCLE | {"latitude_deg": 80, "day_of_year": 1, "solar_radiation_mj_m2": 0.0}
    assert np.isfinite(one(**night | {"t_min_c": -30, "t_max_c": -20, "vapour_pressure_kpa": 0.03})[0])
    assert one(**LYON | {"latitude_deg": 80, "day_of_year": 1}) == (0.0, "hargreaves-samani")


@pytest.mark.parametrize("missing", ["t_min_c", "t_max_c", "latitude_deg", "elevation_m", "day_of_year"])
def test_without_a_temperature_or_a_place_there_is_no_value(missing):
    et_mm, method = one(**UCCLE | {missing: NAN})
    assert np.isnan(et_mm)
    assert method == "none"


def test_temperatures_alone_need_no_elevation():
    assert one(**LYON | {"elevation_m": NAN})[1] == "hargreaves-samani"


def test_every_element_takes_its_own_way():
    found, method = daily_reference_et(
        **LYON
        | {
            "t_min_c": [[14.8, 14.8, NAN], [14.8, 14.8, 14.8]],
            "vapour_pressure_kpa": [[1.4, NAN, 1.4], [1.4, 1.4, NAN]],
            "wind_2m_m_s": [[2.5, 2.5, 2.5], [NAN, 2.5, NAN]],
            "solar_radiation_mj_m2": [[20.0, 20.0, 20.0], [20.0, NAN, NAN]],
            "latitude_deg": [45.72, 46.0, 46.3],
            "day_of_year": [[196], [197]],
        }
    )
    assert [[METHODS[code] for code in row] for row in method] == [
        ["penman-monteith", "penman-monteith, no humidity", "none"],
        ["penman-monteith, no wind", "penman-monteith, no radiation", "hargreaves-samani"],
    ]
    assert np.isnan(found).tolist() == [[False, False, True], [False, False, False]]


def test_the_method_is_a_small_code_and_its_names_are_short_and_distinct():
    _, method = daily_reference_et(**UCCLE)
    assert method.dtype == np.int8
    assert len(set(METHODS)) == len(METHODS) == 9
    assert max(map(len, METHODS)) <= 40


def test_a_scalar_gives_a_scalar_shape():
    et_mm, method = daily_reference_et(**UCCLE)
    assert et_mm.shape == method.shape == ()


def test_a_list_of_days_and_none_for_missing_work_too():
    et_mm, method = daily_reference_et(**UCCLE | {"t_max_c": [21.5, None], "wind_2m_m_s": [None, 2.0]})
    assert et_mm.shape == (2,)
    assert [METHODS[code] for code in method] == ["penman-monteith, no wind", "none"]


def test_no_cells_give_no_values():
    et_mm, method = daily_reference_et(**UCCLE | {"t_min_c": np.empty((3, 0))})
    assert et_mm.shape == method.shape == (3, 0)


@pytest.mark.parametrize("shape", [(365, 120), (2, 33_000), (70_000, 1), (1, 70_000)])
def test_large_arrays_worked_on_in_blocks_agree_with_refet(shape):
    some, days, cells = invented_weather(sites=50), np.arange(shape[0]) % 365, np.arange(shape[1]) % 50
    many = {name: values[np.ix_(days, cells)] for name, values in some.items() if values.shape == (365, 50)}
    many |= {name: some[name][cells] for name in ("latitude_deg", "elevation_m")}
    many["day_of_year"] = some["day_of_year"][days]
    found, method = daily_reference_et(**many)
    plain = by_refet(many | {"wind_2m_m_s": np.maximum(many["wind_2m_m_s"], 0.5)})
    assert found.shape == shape
    assert not method.any()
    assert np.abs(found - np.maximum(plain, 0.0)).max() < 1e-9


def test_what_is_missing_in_one_block_changes_nothing_elsewhere():
    weather = invented_weather(sites=400)
    whole, _ = daily_reference_et(**weather)
    holes = np.random.default_rng(7).random((365, 400)) < 0.02
    holes[:200] = False
    torn = weather | {"wind_2m_m_s": np.where(holes, NAN, weather["wind_2m_m_s"])}
    found, method = daily_reference_et(**torn)
    assert {METHODS[code] for code in method[holes]} == {"penman-monteith, no wind"}
    assert not method[~holes].any()
    assert found[~holes] == pytest.approx(whole[~holes], abs=1e-12)


@pytest.mark.parametrize("name", sorted(UCCLE))
def test_arguments_are_left_as_they_came(name):
    weather = {key: np.full((2, 2), float(value)) for key, value in UCCLE.items()}
    daily_reference_et(**weather)
    assert (weather[name] == UCCLE[name]).all()


@pytest.mark.parametrize(
    ("name", "wrong", "limits"),
    [
        ("t_min_c", 285.4, "-90 to 70"),
        ("t_max_c", -120, "-90 to 70"),
        ("vapour_pressure_kpa", 14.1, "0 to 10"),
        ("wind_2m_m_s", -999, "0 to 120"),
        ("solar_radiation_mj_m2", 255, "0 to 100"),
        ("latitude_deg", 95, "-90 to 90"),
        ("elevation_m", 29_000, "-500 to 9000"),
        ("day_of_year", 367, "1 to 366"),
        ("dew_point_offset_c", -1, "0 to 10"),
    ],
)
def test_an_impossible_argument_is_named_with_its_value_and_range(name, wrong, limits):
    with pytest.raises(ValueError, match=f"^{name} is {wrong:g}; it must lie within {limits}$"):
        daily_reference_et(**UCCLE | {name: wrong})
    with pytest.raises(ValueError, match=f"^{name} is {wrong:g}; it must lie within {limits}$"):
        daily_reference_et(**UCCLE | {name: [UCCLE.get(name, 0.0), NAN, wrong]})


def test_swapped_temperatures_are_named():
    with pytest.raises(ValueError, match=r"^t_min_c is 21.5; it must lie within -90 to t_max_c, here 12.3$"):
        daily_reference_et(**UCCLE | {"t_min_c": 21.5, "t_max_c": 12.3})


def test_three_dimensions_are_refused():
    with pytest.raises(ValueError, match="3 dimensions together; they may have 0 to 2"):
        daily_reference_et(**UCCLE | {"t_min_c": np.full((2, 2, 2), 12.3)})


def test_the_numerics_need_neither_django_nor_settings():
    code = (
        "import sys, weather.numerics.quality, weather.numerics.hargreaves, weather.numerics.humidity;"
        "import weather.numerics.reference_et, weather.numerics.radiation;"
        "sys.exit(any(name.split('.')[0] in {'django', 'pandas'} for name in sys.modules))"
    )
    root = Path(__file__).parents[3]
    assert subprocess.run([sys.executable, "-c", code], cwd=root, check=False).returncode == 0
