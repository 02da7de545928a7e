"""Air: pressure, saturation and wind, as the reference ET equations want them.

Arguments may be scalars or arrays and broadcast against each other, days first: ``(days, cells)``.
NaN in gives NaN out.

References
----------
.. [1] Allen, Pereira, Raes, Smith (1998), FAO Irrigation and Drainage Paper 56, chapter 3.
.. [2] ASCE-EWRI (2005), The ASCE Standardized Reference Evapotranspiration Equation.
"""

import numpy as np
from numpy.typing import ArrayLike

from . import equations, ranges
from .ranges import FloatArray, checked


def air_pressure(elevation_m: ArrayLike) -> FloatArray:
    """Mean air pressure at an elevation.

    Parameters
    ----------
    elevation_m : array_like
        Elevation above sea level, -500 to 9000. [m]

    Returns
    -------
    ndarray
        Air pressure. [kPa]

    Raises
    ------
    ValueError
        If an elevation lies outside its range.

    References
    ----------
    FAO-56 eq. 7; ASCE-EWRI eq. 3.
    """
    return equations.pressure(checked("elevation_m", elevation_m, ranges.ELEVATION_M))


def psychrometric_constant(pressure_kpa: ArrayLike) -> FloatArray:
    """Psychrometric constant at an air pressure.

    Parameters
    ----------
    pressure_kpa : array_like
        Air pressure, 20 to 110. [kPa]

    Returns
    -------
    ndarray
        Psychrometric constant. [kPa/degC]

    Raises
    ------
    ValueError
        If a pressure lies outside its range.

    References
    ----------
    FAO-56 eq. 8; ASCE-EWRI eq. 4.
    """
    return equations.psychrometric(checked("pressure_kpa", pressure_kpa, ranges.PRESSURE_KPA))


def saturation_vapour_pressure(t_c: ArrayLike) -> FloatArray:
    """Vapour pressure of air that can hold no more.

    Parameters
    ----------
    t_c : array_like
        Air temperature, -90 to 70. [degC]

    Returns
    -------
    ndarray
        Saturation vapour pressure. [kPa]

    Raises
    ------
    ValueError
        If a temperature lies outside its range.

    References
    ----------
    FAO-56 eq. 11; ASCE-EWRI eq. 7.
    """
    return equations.saturation(checked("t_c", t_c, ranges.TEMPERATURE_C))


def mean_saturation_vapour_pressure(t_min_c: ArrayLike, t_max_c: ArrayLike) -> FloatArray:
    """Mean saturation vapour pressure of a day: that of the two extremes, not of the mean temperature.

    Parameters
    ----------
    t_min_c, t_max_c : array_like, broadcastable to each other
        The day's lowest and highest air temperature, -90 to 70. [degC]

    Returns
    -------
    ndarray
        Mean saturation vapour pressure. [kPa]

    Raises
    ------
    ValueError
        If a temperature lies outside its range, or a minimum above its maximum.

    References
    ----------
    FAO-56 eq. 12; ASCE-EWRI eq. 6.
    """
    low, high = ranges.day_extremes(t_min_c, t_max_c)
    return 0.5 * (equations.saturation(low) + equations.saturation(high))


def saturation_slope(t_c: ArrayLike) -> FloatArray:
    """Slope of the saturation vapour pressure curve.

    Parameters
    ----------
    t_c : array_like
        Air temperature, -90 to 70. [degC]

    Returns
    -------
    ndarray
        Slope. [kPa/degC]

    Raises
    ------
    ValueError
        If a temperature lies outside its range.

    References
    ----------
    FAO-56 eq. 13; ASCE-EWRI eq. 5, whose rounding of the constant is used.
    """
    return equations.slope(checked("t_c", t_c, ranges.TEMPERATURE_C))


def wind_at_2m(wind_m_s: ArrayLike, height_m: ArrayLike) -> FloatArray:
    """Wind speed 2 m above grass from a speed measured at another height.

    Parameters
    ----------
    wind_m_s : array_like
        Wind speed, 0 to 120. [m/s]
    height_m : array_like
        Height of the measurement above the ground, 0.5 to 200. [m]

    Returns
    -------
    ndarray
        Wind speed at 2 m. [m/s]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    References
    ----------
    FAO-56 eq. 47; ASCE-EWRI eq. 33.
    """
    height = checked("height_m", height_m, ranges.WIND_HEIGHT_M)
    return checked("wind_m_s", wind_m_s, ranges.WIND_M_S) * 4.87 / np.log(67.8 * height - 5.42)
