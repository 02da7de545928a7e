"""Actual vapour pressure from whatever a source reports about humidity.

Relative humidity is a ratio: 0.84, not 84. Arguments may be scalars or arrays and broadcast against each
other, days first: ``(days, cells)``. NaN in gives NaN out.

References
----------
.. [1] Allen, Pereira, Raes, Smith (1998), FAO Irrigation and Drainage Paper 56, chapter 3.
   The psychrometers' coefficients other than 0.000662 and the dew point's offset are quoted from memory.
.. [2] ASCE-EWRI (2005), The ASCE Standardized Reference Evapotranspiration Equation.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from . import equations, ranges
from .ranges import FloatArray, checked

VENTILATED_PSYCHROMETER: Final = 0.000662
NATURALLY_VENTILATED_PSYCHROMETER: Final = 0.000800
INDOOR_PSYCHROMETER: Final = 0.001200


def vapour_pressure_from_dew_point(dew_point_c: ArrayLike) -> FloatArray:
    """Actual vapour pressure from the dew point.

    A day's vapour pressure is the mean of the hourly vapour pressures. The curve is bent, so the vapour
    pressure of the mean dew point comes out lower.

    Parameters
    ----------
    dew_point_c : array_like
        Dew point, -90 to 70. [degC]

    Returns
    -------
    ndarray
        Actual vapour pressure. [kPa]

    Raises
    ------
    ValueError
        If a dew point lies outside its range.

    References
    ----------
    FAO-56 eq. 14; ASCE-EWRI eq. 8.
    """
    return equations.saturation(checked("dew_point_c", dew_point_c, ranges.TEMPERATURE_C))


def vapour_pressure_from_humidity_extremes(
    *, t_min_c: ArrayLike, t_max_c: ArrayLike, humidity_max: ArrayLike, humidity_min: ArrayLike
) -> FloatArray:
    """Actual vapour pressure from the day's highest and lowest relative humidity.

    Parameters
    ----------
    t_min_c, t_max_c : array_like
        The day's lowest and highest air temperature, -90 to 70. [degC]
    humidity_max, humidity_min : array_like
        Relative humidity as a ratio, 0 to 1.1; above 1 it is taken as 1 (a sensor that needs calibration).
        [-]

    Returns
    -------
    ndarray
        Actual vapour pressure. [kPa]

    Raises
    ------
    ValueError
        If an argument lies outside its range, or a minimum temperature above its maximum.

    References
    ----------
    FAO-56 eq. 17; ASCE-EWRI eq. 11.
    """
    low, high = ranges.day_extremes(t_min_c, t_max_c)
    at_dawn = equations.saturation(low) * _humidity("humidity_max", humidity_max)
    at_noon = equations.saturation(high) * _humidity("humidity_min", humidity_min)
    return 0.5 * (at_dawn + at_noon)


def vapour_pressure_from_maximum_humidity(t_min_c: ArrayLike, humidity_max: ArrayLike) -> FloatArray:
    """Actual vapour pressure from the highest relative humidity, where the lowest can't be trusted.

    Parameters
    ----------
    t_min_c : array_like
        The day's lowest air temperature, -90 to 70. [degC]
    humidity_max : array_like
        The day's highest relative humidity as a ratio, 0 to 1.1; above 1 it is taken as 1. [-]

    Returns
    -------
    ndarray
        Actual vapour pressure. [kPa]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    References
    ----------
    FAO-56 eq. 18; ASCE-EWRI eq. 12.
    """
    low = checked("t_min_c", t_min_c, ranges.TEMPERATURE_C)
    return equations.saturation(low) * _humidity("humidity_max", humidity_max)


def vapour_pressure_from_mean_humidity(
    *, t_min_c: ArrayLike, t_max_c: ArrayLike, humidity_mean: ArrayLike
) -> FloatArray:
    """Actual vapour pressure from the mean relative humidity; less certain than from the extremes.

    Parameters
    ----------
    t_min_c, t_max_c : array_like
        The day's lowest and highest air temperature, -90 to 70. [degC]
    humidity_mean : array_like
        Mean relative humidity as a ratio, 0 to 1.1; above 1 it is taken as 1. [-]

    Returns
    -------
    ndarray
        Actual vapour pressure. [kPa]

    Raises
    ------
    ValueError
        If an argument lies outside its range, or a minimum temperature above its maximum.

    References
    ----------
    FAO-56 eq. 19.
    """
    low, high = ranges.day_extremes(t_min_c, t_max_c)
    saturated = 0.5 * (equations.saturation(low) + equations.saturation(high))
    return saturated * _humidity("humidity_mean", humidity_mean)


def vapour_pressure_from_psychrometer(
    *,
    dry_c: ArrayLike,
    wet_c: ArrayLike,
    pressure_kpa: ArrayLike,
    coefficient: float = VENTILATED_PSYCHROMETER,
) -> FloatArray:
    """Actual vapour pressure from a dry and a wet thermometer.

    Parameters
    ----------
    dry_c, wet_c : array_like
        Readings of the dry and the wet bulb, -90 to 70, the wet one not above the dry one. [degC]
    pressure_kpa : array_like
        Air pressure, 20 to 110. [kPa]
    coefficient : float
        Of the instrument, 0 to 0.01: 0.000662 ventilated, 0.0008 naturally ventilated, 0.0012 indoors.
        [1/degC]

    Returns
    -------
    ndarray
        Actual vapour pressure, at least 0. [kPa]

    Raises
    ------
    ValueError
        If an argument lies outside its range, or a wet reading above the dry one.

    References
    ----------
    FAO-56 eqs. 15 and 16.
    """
    dry = checked("dry_c", dry_c, ranges.TEMPERATURE_C)
    wet = checked("wet_c", wet_c, ranges.TEMPERATURE_C)
    depression = checked("dry_c - wet_c", dry - wet, (0.0, 160.0))
    pressure = checked("pressure_kpa", pressure_kpa, ranges.PRESSURE_KPA)
    instrument = checked("coefficient", coefficient, (0.0, 0.01))
    return np.maximum(equations.saturation(wet) - instrument * pressure * depression, 0.0)


def vapour_pressure_from_minimum_temperature(
    t_min_c: ArrayLike, dew_point_offset_c: ArrayLike = 0.0
) -> FloatArray:
    """Actual vapour pressure where humidity is missing: by dawn the air has cooled nearly to its dew point.

    Parameters
    ----------
    t_min_c : array_like
        The day's lowest air temperature, -90 to 70. [degC]
    dew_point_offset_c : array_like
        By how much the dew point stays below it (K0), 0 to 10: 0 where it is humid, 2 to 3 where it is arid.
        [degC]

    Returns
    -------
    ndarray
        Actual vapour pressure. [kPa]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    References
    ----------
    FAO-56 eq. 48 and Annex 6 (the offset).
    """
    low = checked("t_min_c", t_min_c, ranges.TEMPERATURE_C)
    return equations.saturation(
        low - checked("dew_point_offset_c", dew_point_offset_c, ranges.DEW_POINT_OFFSET_C)
    )


def _humidity(name: str, ratio: ArrayLike) -> FloatArray:
    return np.minimum(checked(name, ratio, ranges.RELATIVE_HUMIDITY), 1.0)
