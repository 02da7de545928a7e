"""The standardised reference ET equation, daily, for a short (grass) and a tall (alfalfa) reference surface.

For the short surface it equals the FAO Penman-Monteith equation. Nothing is filled in and nothing is limited
here: NaN in gives NaN out, calm wind stays calm, and a night-long winter day may come out a little below 0.
``reference_et`` is what a service calls.

References
----------
.. [1] ASCE-EWRI (2005), The ASCE Standardized Reference Evapotranspiration Equation, eq. 1 and table 1.
.. [2] Allen, Pereira, Raes, Smith (1998), FAO Irrigation and Drainage Paper 56, chapter 4, eq. 6.
"""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from . import equations, ranges
from .ranges import FloatArray, checked


class Surface(NamedTuple):
    """Numerator and denominator constants of a reference surface, daily."""

    cn: float
    cd: float


SHORT: Final = Surface(cn=900.0, cd=0.34)
TALL: Final = Surface(cn=1600.0, cd=0.38)


class DayOfWeather(NamedTuple):
    """A day's complete weather at a place, checked; arrays that broadcast against each other."""

    t_min_c: FloatArray
    t_max_c: FloatArray
    vapour_pressure_kpa: FloatArray
    wind_2m_m_s: FloatArray
    solar_radiation_mj_m2: FloatArray


def combine(
    *,
    net_radiation_mj_m2: ArrayLike,
    t_mean_c: ArrayLike,
    wind_2m_m_s: ArrayLike,
    deficit_kpa: ArrayLike,
    slope_kpa_c: ArrayLike,
    psychrometric_kpa_c: ArrayLike,
    soil_heat_flux_mj_m2: ArrayLike = 0.0,
    surface: Surface = SHORT,
) -> FloatArray:
    """Reference ET from its parts: what radiation drives, and what dry moving air drives.

    Parameters
    ----------
    net_radiation_mj_m2, soil_heat_flux_mj_m2 : array_like
        Net radiation and what of it warms the soil, -100 to 100. [MJ/m2/d]
    t_mean_c : array_like
        Mean of the day's lowest and highest air temperature, -90 to 70. [degC]
    wind_2m_m_s : array_like
        Wind speed at 2 m, 0 to 120. [m/s]
    deficit_kpa : array_like
        Vapour pressure deficit, 0 to 40. [kPa]
    slope_kpa_c : array_like
        Slope of the saturation vapour pressure curve, 0 to 2. [kPa/degC]
    psychrometric_kpa_c : array_like
        Psychrometric constant, 0.01 to 0.1. [kPa/degC]
    surface : Surface
        SHORT or TALL.

    Returns
    -------
    ndarray
        Reference ET. [mm/d]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    References
    ----------
    ASCE-EWRI eq. 1; FAO-56 eq. 6.
    """
    return _combine(
        checked("net_radiation_mj_m2", net_radiation_mj_m2, ranges.NET_RADIATION_MJ_M2)
        - checked("soil_heat_flux_mj_m2", soil_heat_flux_mj_m2, ranges.NET_RADIATION_MJ_M2),
        t_mean_c=checked("t_mean_c", t_mean_c, ranges.TEMPERATURE_C),
        wind_2m_m_s=checked("wind_2m_m_s", wind_2m_m_s, ranges.WIND_M_S),
        deficit=checked("deficit_kpa", deficit_kpa, ranges.DEFICIT_KPA),
        slope=checked("slope_kpa_c", slope_kpa_c, ranges.SLOPE_KPA_C),
        psychrometric=checked("psychrometric_kpa_c", psychrometric_kpa_c, ranges.PSYCHROMETRIC_KPA_C),
        surface=surface,
    )


def standardized_et(
    *,
    t_min_c: ArrayLike,
    t_max_c: ArrayLike,
    vapour_pressure_kpa: ArrayLike,
    wind_2m_m_s: ArrayLike,
    solar_radiation_mj_m2: ArrayLike,
    latitude_deg: ArrayLike,
    elevation_m: ArrayLike,
    day_of_year: ArrayLike,
    surface: Surface = SHORT,
) -> FloatArray:
    """Reference ET of a day from its complete weather.

    Parameters
    ----------
    t_min_c, t_max_c : array_like
        The day's lowest and highest air temperature, -90 to 70. [degC]
    vapour_pressure_kpa : array_like
        Actual vapour pressure, 0 to 10; above saturation the deficit is 0. [kPa]
    wind_2m_m_s : array_like
        Wind speed at 2 m, 0 to 120. [m/s]
    solar_radiation_mj_m2 : array_like
        Solar radiation, 0 to 100. [MJ/m2/d]
    latitude_deg, elevation_m : array_like
        Of the place, -90 to 90 and -500 to 9000. [deg], [m]
    day_of_year : array_like
        1 to 366. [-]
    surface : Surface
        SHORT or TALL.

    Returns
    -------
    ndarray
        Reference ET. [mm/d]

    Raises
    ------
    ValueError
        If an argument lies outside its range, or a minimum temperature above its maximum.

    References
    ----------
    ASCE-EWRI eqs. 1 to 28, daily; FAO-56 eq. 6.
    """
    low, high = ranges.day_extremes(t_min_c, t_max_c)
    latitude = np.radians(checked("latitude_deg", latitude_deg, ranges.LATITUDE_DEG))
    return standardized(
        DayOfWeather(
            low,
            high,
            checked("vapour_pressure_kpa", vapour_pressure_kpa, ranges.VAPOUR_PRESSURE_KPA),
            checked("wind_2m_m_s", wind_2m_m_s, ranges.WIND_M_S),
            checked("solar_radiation_mj_m2", solar_radiation_mj_m2, ranges.RADIATION_MJ_M2),
        ),
        elevation_m=checked("elevation_m", elevation_m, ranges.ELEVATION_M),
        above=equations.extraterrestrial(latitude, checked("day_of_year", day_of_year, ranges.DAY_OF_YEAR)),
        surface=surface,
    )


def standardized(
    day: DayOfWeather, *, elevation_m: FloatArray, above: FloatArray, surface: Surface = SHORT
) -> FloatArray:
    """The same from checked weather and the radiation above the atmosphere, for callers who have both."""
    solar, vapour = day.solar_radiation_mj_m2, day.vapour_pressure_kpa
    t_mean = 0.5 * (day.t_min_c + day.t_max_c)
    saturated = 0.5 * (equations.saturation(day.t_min_c) + equations.saturation(day.t_max_c))
    clear = equations.clear_sky(above, elevation_m)
    lost = equations.net_longwave(
        day.t_min_c, day.t_max_c, vapour_pressure_kpa=vapour, solar=solar, clear=clear
    )
    return _combine(
        (1.0 - equations.ALBEDO) * solar - lost,
        t_mean_c=t_mean,
        wind_2m_m_s=day.wind_2m_m_s,
        deficit=np.maximum(saturated - vapour, 0.0),
        slope=equations.slope(t_mean),
        psychrometric=equations.psychrometric(equations.pressure(elevation_m)),
        surface=surface,
    )


def _combine(
    energy: FloatArray,
    *,
    t_mean_c: FloatArray,
    wind_2m_m_s: FloatArray,
    deficit: FloatArray,
    slope: FloatArray,
    psychrometric: FloatArray,
    surface: Surface,
) -> FloatArray:
    radiation_term = equations.WATER_MM_PER_MJ * slope * energy
    wind_term = (psychrometric * surface.cn) * wind_2m_m_s * deficit / (t_mean_c + 273.0)
    return (radiation_term + wind_term) / (slope + psychrometric * (1.0 + surface.cd * wind_2m_m_s))
