"""What of the sun's radiation reaches the ground and stays there.

All fluxes are daily sums. Arguments may be scalars or arrays and broadcast against each other, days first:
``(days, cells)``. NaN in gives NaN out.

References
----------
.. [1] Allen, Pereira, Raes, Smith (1998), FAO Irrigation and Drainage Paper 56, chapter 3.
.. [2] ASCE-EWRI (2005), The ASCE Standardized Reference Evapotranspiration Equation.
"""

import numpy as np
from numpy.typing import ArrayLike

from . import equations, ranges
from .ranges import FloatArray, checked


def solar_radiation_from_sunshine(
    *, sunshine_h: ArrayLike, daylight_h: ArrayLike, extraterrestrial_mj_m2: ArrayLike
) -> FloatArray:
    """Solar radiation from the hours of bright sunshine.

    Parameters
    ----------
    sunshine_h : array_like
        Hours of bright sunshine, 0 to 24; more than there is daylight counts as a clear day. [h]
    daylight_h : array_like
        Hours between sunrise and sunset, 0 to 24. [h]
    extraterrestrial_mj_m2 : array_like
        Radiation above the atmosphere, 0 to 100. [MJ/m2/d]

    Returns
    -------
    ndarray
        Solar radiation Rs. [MJ/m2/d]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    References
    ----------
    FAO-56 eq. 35 with as = 0.25 and bs = 0.50, for where none were calibrated.
    """
    sunshine = checked("sunshine_h", sunshine_h, ranges.SUNSHINE_H)
    daylight = np.maximum(checked("daylight_h", daylight_h, ranges.SUNSHINE_H), 1e-9)
    above = checked("extraterrestrial_mj_m2", extraterrestrial_mj_m2, ranges.RADIATION_MJ_M2)
    return (0.25 + 0.50 * np.minimum(sunshine / daylight, 1.0)) * above


def solar_radiation_from_temperatures(
    *, t_min_c: ArrayLike, t_max_c: ArrayLike, extraterrestrial_mj_m2: ArrayLike, coastal: ArrayLike = False
) -> FloatArray:
    """Solar radiation from the day's temperature range: clear days are warmer and their nights cooler.

    Parameters
    ----------
    t_min_c, t_max_c : array_like
        The day's lowest and highest air temperature, -90 to 70. [degC]
    extraterrestrial_mj_m2 : array_like
        Radiation above the atmosphere, 0 to 100. [MJ/m2/d]
    coastal : array_like of bool
        Whether the sea governs the air (coefficient 0.19) or not (0.16).

    Returns
    -------
    ndarray
        Solar radiation Rs, not limited to that of a clear sky. [MJ/m2/d]

    Raises
    ------
    ValueError
        If an argument lies outside its range, or a minimum temperature above its maximum.

    References
    ----------
    FAO-56 eq. 50.
    """
    low, high = ranges.day_extremes(t_min_c, t_max_c)
    above = checked("extraterrestrial_mj_m2", extraterrestrial_mj_m2, ranges.RADIATION_MJ_M2)
    return equations.solar_from_range(high - low, above, np.asarray(coastal, dtype=np.float64))


def clear_sky_radiation(extraterrestrial_mj_m2: ArrayLike, elevation_m: ArrayLike) -> FloatArray:
    """Solar radiation under a clear sky.

    Parameters
    ----------
    extraterrestrial_mj_m2 : array_like
        Radiation above the atmosphere, 0 to 100. [MJ/m2/d]
    elevation_m : array_like
        Elevation above sea level, -500 to 9000. [m]

    Returns
    -------
    ndarray
        Clear sky radiation Rso. [MJ/m2/d]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    References
    ----------
    FAO-56 eq. 37; ASCE-EWRI eq. 19.
    """
    above = checked("extraterrestrial_mj_m2", extraterrestrial_mj_m2, ranges.RADIATION_MJ_M2)
    return equations.clear_sky(above, checked("elevation_m", elevation_m, ranges.ELEVATION_M))


def net_shortwave_radiation(solar_radiation_mj_m2: ArrayLike) -> FloatArray:
    """Solar radiation that grass doesn't reflect.

    Parameters
    ----------
    solar_radiation_mj_m2 : array_like
        Solar radiation, 0 to 100. [MJ/m2/d]

    Returns
    -------
    ndarray
        Net shortwave radiation Rns, with an albedo of 0.23. [MJ/m2/d]

    Raises
    ------
    ValueError
        If a radiation lies outside its range.

    References
    ----------
    FAO-56 eq. 38; ASCE-EWRI eq. 16.
    """
    solar = checked("solar_radiation_mj_m2", solar_radiation_mj_m2, ranges.RADIATION_MJ_M2)
    return (1.0 - equations.ALBEDO) * solar


def net_longwave_radiation(
    *,
    t_min_c: ArrayLike,
    t_max_c: ArrayLike,
    vapour_pressure_kpa: ArrayLike,
    solar_radiation_mj_m2: ArrayLike,
    clear_sky_mj_m2: ArrayLike,
) -> FloatArray:
    """Heat radiated to the sky, less what comes back from it.

    Parameters
    ----------
    t_min_c, t_max_c : array_like
        The day's lowest and highest air temperature, -90 to 70. [degC]
    vapour_pressure_kpa : array_like
        Actual vapour pressure, 0 to 10. [kPa]
    solar_radiation_mj_m2, clear_sky_mj_m2 : array_like
        Solar radiation, and that of a clear sky, 0 to 100. Their ratio is kept within 0.3 to 1; where both
        are 0 the sky counts as overcast. [MJ/m2/d]

    Returns
    -------
    ndarray
        Net outgoing longwave radiation Rnl. [MJ/m2/d]

    Raises
    ------
    ValueError
        If an argument lies outside its range, or a minimum temperature above its maximum.

    References
    ----------
    FAO-56 eq. 39; ASCE-EWRI eqs. 17 and 18, whose rounding of the constant is used.
    """
    low, high = ranges.day_extremes(t_min_c, t_max_c)
    return equations.net_longwave(
        low,
        high,
        vapour_pressure_kpa=checked("vapour_pressure_kpa", vapour_pressure_kpa, ranges.VAPOUR_PRESSURE_KPA),
        solar=checked("solar_radiation_mj_m2", solar_radiation_mj_m2, ranges.RADIATION_MJ_M2),
        clear=checked("clear_sky_mj_m2", clear_sky_mj_m2, ranges.RADIATION_MJ_M2),
    )


def net_radiation(net_shortwave_mj_m2: ArrayLike, net_longwave_mj_m2: ArrayLike) -> FloatArray:
    """Energy left at the surface for evaporation and for warming air and soil.

    Parameters
    ----------
    net_shortwave_mj_m2, net_longwave_mj_m2 : array_like
        Net incoming shortwave, 0 to 100, and net outgoing longwave radiation, -100 to 100. [MJ/m2/d]

    Returns
    -------
    ndarray
        Net radiation Rn. [MJ/m2/d]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    References
    ----------
    FAO-56 eq. 40; ASCE-EWRI eq. 15.
    """
    incoming = checked("net_shortwave_mj_m2", net_shortwave_mj_m2, ranges.RADIATION_MJ_M2)
    return incoming - checked("net_longwave_mj_m2", net_longwave_mj_m2, ranges.NET_RADIATION_MJ_M2)


def monthly_soil_heat_flux(previous_month_c: ArrayLike, next_month_c: ArrayLike) -> FloatArray:
    """Heat that goes into the soil over a month. Over a single day it is taken as 0.

    Parameters
    ----------
    previous_month_c, next_month_c : array_like
        Mean air temperature of the month before and of the month after, -90 to 70. [degC]

    Returns
    -------
    ndarray
        Soil heat flux G, positive while the soil warms. [MJ/m2/d]

    Raises
    ------
    ValueError
        If a temperature lies outside its range.

    References
    ----------
    FAO-56 eq. 43.
    """
    before = checked("previous_month_c", previous_month_c, ranges.TEMPERATURE_C)
    return 0.07 * (checked("next_month_c", next_month_c, ranges.TEMPERATURE_C) - before)


def monthly_soil_heat_flux_to_date(previous_month_c: ArrayLike, this_month_c: ArrayLike) -> FloatArray:
    """Heat that goes into the soil over a month, while the next month's temperature isn't known.

    Parameters
    ----------
    previous_month_c, this_month_c : array_like
        Mean air temperature of the month before and of this month, -90 to 70. [degC]

    Returns
    -------
    ndarray
        Soil heat flux G, positive while the soil warms. [MJ/m2/d]

    Raises
    ------
    ValueError
        If a temperature lies outside its range.

    References
    ----------
    FAO-56 eq. 44.
    """
    before = checked("previous_month_c", previous_month_c, ranges.TEMPERATURE_C)
    return 0.14 * (checked("this_month_c", this_month_c, ranges.TEMPERATURE_C) - before)
