"""Where the sun stands: the radiation above the atmosphere and the length of the day.

Both depend on the latitude and the day of the year alone. Latitude ``(cells,)`` and day ``(days, 1)`` give
``(days, cells)``. Scalars work too. NaN in gives NaN out.

References
----------
.. [1] Allen, Pereira, Raes, Smith (1998), FAO Irrigation and Drainage Paper 56, chapter 3.
.. [2] ASCE-EWRI (2005), The ASCE Standardized Reference Evapotranspiration Equation.
"""

import math

import numpy as np
from numpy.typing import ArrayLike

from . import equations, ranges
from .ranges import FloatArray, checked


def latitude_radians(latitude_deg: ArrayLike) -> FloatArray:
    """Latitude in radians.

    Parameters
    ----------
    latitude_deg : array_like
        Latitude, -90 to 90, south negative. [deg]

    Returns
    -------
    ndarray
        Latitude. [rad]

    Raises
    ------
    ValueError
        If a latitude lies outside its range.

    References
    ----------
    FAO-56 eq. 22.
    """
    return np.radians(checked("latitude_deg", latitude_deg, ranges.LATITUDE_DEG))


def inverse_relative_distance(day_of_year: ArrayLike) -> FloatArray:
    """Inverse relative distance from the earth to the sun, squared.

    Parameters
    ----------
    day_of_year : array_like
        Day of the year, 1 to 366. [-]

    Returns
    -------
    ndarray
        About 1.033 in January and 0.967 in July. [-]

    Raises
    ------
    ValueError
        If a day lies outside its range.

    References
    ----------
    FAO-56 eq. 23; ASCE-EWRI eq. 23.
    """
    return equations.inverse_distance(checked("day_of_year", day_of_year, ranges.DAY_OF_YEAR))


def solar_declination(day_of_year: ArrayLike) -> FloatArray:
    """Angle between the sun's rays at noon and the plane of the equator.

    Parameters
    ----------
    day_of_year : array_like
        Day of the year, 1 to 366. [-]

    Returns
    -------
    ndarray
        Declination, positive in the northern summer. [rad]

    Raises
    ------
    ValueError
        If a day lies outside its range.

    References
    ----------
    FAO-56 eq. 24; ASCE-EWRI eq. 24.
    """
    return equations.declination(checked("day_of_year", day_of_year, ranges.DAY_OF_YEAR))


def sunset_hour_angle(latitude_deg: ArrayLike, day_of_year: ArrayLike) -> FloatArray:
    """Hour angle at which the sun sets: 0 in polar night, pi under the midnight sun.

    Parameters
    ----------
    latitude_deg : array_like
        Latitude, -90 to 90, south negative. [deg]
    day_of_year : array_like, broadcastable with the latitude
        Day of the year, 1 to 366. [-]

    Returns
    -------
    ndarray
        Sunset hour angle. [rad]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    References
    ----------
    FAO-56 eq. 25; ASCE-EWRI eq. 27.
    """
    cosine = equations.cosine_of_sunset(latitude_radians(latitude_deg), solar_declination(day_of_year))
    return np.arccos(cosine)


def daylight_hours(latitude_deg: ArrayLike, day_of_year: ArrayLike) -> FloatArray:
    """Hours between sunrise and sunset.

    Parameters
    ----------
    latitude_deg : array_like
        Latitude, -90 to 90, south negative. [deg]
    day_of_year : array_like, broadcastable with the latitude
        Day of the year, 1 to 366. [-]

    Returns
    -------
    ndarray
        Daylight, 0 to 24. [h]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    References
    ----------
    FAO-56 eq. 34.
    """
    return 24.0 / math.pi * sunset_hour_angle(latitude_deg, day_of_year)


def extraterrestrial_radiation(latitude_deg: ArrayLike, day_of_year: ArrayLike) -> FloatArray:
    """Solar radiation of a day above the atmosphere.

    Parameters
    ----------
    latitude_deg : array_like
        Latitude, -90 to 90, south negative. [deg]
    day_of_year : array_like, broadcastable with the latitude
        Day of the year, 1 to 366. [-]

    Returns
    -------
    ndarray
        Extraterrestrial radiation Ra, never negative. [MJ/m2/d]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    References
    ----------
    FAO-56 eq. 21; ASCE-EWRI eq. 21.
    """
    day = checked("day_of_year", day_of_year, ranges.DAY_OF_YEAR)
    return equations.extraterrestrial(latitude_radians(latitude_deg), day)
