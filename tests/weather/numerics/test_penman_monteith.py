"""The standardised equation against the worked days and the table of its two standards.

FAO-56: Allen, Pereira, Raes, Smith (1998), FAO Irrigation and Drainage Paper 56, chapter 4.
ASCE: ASCE-EWRI (2005), The ASCE Standardized Reference Evapotranspiration Equation, Appendix C.
"""

from typing import Any

import numpy as np
import pytest

from weather.numerics.atmosphere import (
    air_pressure,
    mean_saturation_vapour_pressure,
    psychrometric_constant,
    saturation_slope,
    wind_at_2m,
)
from weather.numerics.penman_monteith import SHORT, TALL, combine, standardized_et
from weather.numerics.radiation import (
    clear_sky_radiation,
    monthly_soil_heat_flux_to_date,
    net_longwave_radiation,
    net_radiation,
    net_shortwave_radiation,
    solar_radiation_from_sunshine,
)
from weather.numerics.sun import daylight_hours, extraterrestrial_radiation

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
UCCLE_PARTS: dict[str, Any] = {
    "t_mean_c": 16.9,
    "wind_2m_m_s": 2.078,
    "slope_kpa_c": 0.122,
    "psychrometric_kpa_c": 0.0666,
}

# Greeley, Colorado, 1 to 10 July 2000, ASCE Appendix C: day of year, Tmax, Tmin, vapour pressure, Rs,
# wind at 3 m, and the printed reference ET of the short and the tall surface.
GREELEY = np.array(
    [
        [183, 32.4, 10.9, 1.27, 22.4, 1.94, 5.71, 7.34],
        [184, 33.6, 12.2, 1.19, 26.8, 2.14, 6.71, 8.68],
        [185, 32.6, 14.8, 1.40, 23.3, 2.06, 5.98, 7.65],
        [186, 33.8, 11.8, 1.18, 29.0, 1.97, 6.86, 8.73],
        [187, 32.7, 15.9, 1.59, 27.9, 2.98, 7.03, 9.07],
        [188, 36.3, 15.8, 1.58, 29.2, 2.37, 7.50, 9.60],
        [189, 35.5, 16.7, 1.13, 23.2, 2.43, 7.03, 9.56],
        [190, 34.4, 18.3, 1.38, 22.1, 1.95, 6.16, 7.99],
        [191, 32.7, 15.1, 1.38, 26.5, 1.75, 6.20, 7.68],
        [192, 32.7, 15.7, 1.59, 27.7, 2.31, 6.61, 8.28],
    ]
)


def test_the_worked_day_at_uccle():
    """FAO-56, chapter 4, example 18, pages 72 and 73: 3.88, rounded to 3.9 mm."""
    assert standardized_et(**UCCLE) == pytest.approx(3.88, abs=0.005)


def test_the_two_terms_of_the_worked_day_at_uccle():
    """FAO-56, chapter 4, example 18, page 73: net radiation 13.28 MJ, deficit 0.589 kPa."""
    by_radiation = combine(**UCCLE_PARTS, net_radiation_mj_m2=13.28, deficit_kpa=0.0)
    by_wind = combine(**UCCLE_PARTS, net_radiation_mj_m2=0.0, deficit_kpa=0.589)
    assert by_radiation == pytest.approx(2.81, abs=0.005)
    assert by_wind == pytest.approx(1.07, abs=0.005)


def test_the_worked_month_at_bangkok():
    """FAO-56, chapter 4, example 17, pages 70 and 71: 5.72, printed from unrounded parts."""
    above = extraterrestrial_radiation(13.73, 105)
    solar = solar_radiation_from_sunshine(
        sunshine_h=8.5, daylight_h=daylight_hours(13.73, 105), extraterrestrial_mj_m2=above
    )
    lost = net_longwave_radiation(
        t_min_c=25.6,
        t_max_c=34.8,
        vapour_pressure_kpa=2.85,
        solar_radiation_mj_m2=solar,
        clear_sky_mj_m2=clear_sky_radiation(above, 2),
    )
    deficit = mean_saturation_vapour_pressure(25.6, 34.8) - 2.85
    assert deficit == pytest.approx(1.57, abs=0.005)
    found = combine(
        net_radiation_mj_m2=net_radiation(net_shortwave_radiation(solar), lost),
        soil_heat_flux_mj_m2=monthly_soil_heat_flux_to_date(29.2, 30.2),
        t_mean_c=30.2,
        wind_2m_m_s=2.0,
        deficit_kpa=deficit,
        slope_kpa_c=saturation_slope(30.2),
        psychrometric_kpa_c=psychrometric_constant(air_pressure(2)),
    )
    assert found == pytest.approx(5.72, abs=0.005)


@pytest.mark.parametrize(("surface", "column", "within"), [(SHORT, 6, 0.025), (TALL, 7, 0.03)])
def test_ten_days_at_greeley_for_both_surfaces(surface, column, within):
    """ASCE Appendix C; printed inputs are rounded (Rs to 0.1 MJ), which explains up to 0.025 mm."""
    day, t_max, t_min, vapour_pressure, solar, wind_3m = GREELEY.T[:6]
    found = standardized_et(
        t_min_c=t_min,
        t_max_c=t_max,
        vapour_pressure_kpa=vapour_pressure,
        wind_2m_m_s=wind_at_2m(wind_3m, 3.0),
        solar_radiation_mj_m2=solar,
        latitude_deg=40.41,
        elevation_m=1462.4,
        day_of_year=day,
        surface=surface,
    )
    assert found == pytest.approx(GREELEY[:, column], abs=within)


def test_days_and_cells_broadcast_against_each_other():
    found = standardized_et(
        **UCCLE | {"day_of_year": [[187], [188], [189]], "latitude_deg": [50.8, 50.8], "elevation_m": 100}
    )
    assert found.shape == (3, 2)
    assert found[0] == pytest.approx(3.88, abs=0.005)


@pytest.mark.parametrize("name", sorted(UCCLE))
def test_nan_in_gives_nan_out(name):
    assert np.isnan(standardized_et(**UCCLE | {name: np.nan}))


@pytest.mark.parametrize(
    ("name", "wrong", "limits"),
    [
        ("t_min_c", 285.4, "-90 to 70"),
        ("t_max_c", -120, "-90 to 70"),
        ("vapour_pressure_kpa", 14.1, "0 to 10"),
        ("wind_2m_m_s", -2, "0 to 120"),
        ("solar_radiation_mj_m2", 255, "0 to 100"),
        ("latitude_deg", 95, "-90 to 90"),
        ("elevation_m", -900, "-500 to 9000"),
        ("day_of_year", 0, "1 to 366"),
    ],
)
def test_an_impossible_argument_is_named_with_its_value_and_range(name, wrong, limits):
    with pytest.raises(ValueError, match=f"^{name} is {wrong:g}; it must lie within {limits}$"):
        standardized_et(**UCCLE | {name: wrong})


def test_an_impossible_part_is_named():
    with pytest.raises(ValueError, match=r"^slope_kpa_c is -0.1; it must lie within 0 to 2$"):
        combine(**UCCLE_PARTS | {"slope_kpa_c": -0.1}, net_radiation_mj_m2=13, deficit_kpa=0.5)
