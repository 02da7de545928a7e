"""Reference ET hour by hour, in the two published forms, kept apart.

The forms differ in one number: FAO-56 keeps the surface resistance of the daily equation, 70 s/m, all day;
the standardised equation of ASCE-EWRI takes 50 s/m by day and 200 s/m by night, since leaves open wider in
the sun than a whole day's mean says.

At night nothing tells the clouds, so the cloudiness of the last hours of sun holds until the next; the hours
before the first sun known take that of the first. Hours below zero stay below zero, dew by this account, and
count in a day's sum.

References
----------
.. [1] ASCE-EWRI (2005), The ASCE Standardized Reference Evapotranspiration Equation, table 1 and the hourly
   calculation steps (from memory).
.. [2] Allen, Pereira, Raes, Smith (1998), FAO Irrigation and Drainage Paper 56, chapter 4, eq. 53, and
   chapter 3, eqs. 28 to 33 and 45, 46.
"""

import math
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from . import equations, ranges
from .ranges import FloatArray, checked

ASCE_EWRI: Final = "asce-ewri"
FAO_56: Final = "fao-56"
FORMS: Final = (ASCE_EWRI, FAO_56)
CN: Final = 37.0
CD: Final = {ASCE_EWRI: (0.24, 0.96), FAO_56: (0.34, 0.34)}  # by day, by night
SOIL_HEAT: Final = (0.1, 0.5)  # of net radiation, by day and by night
LOW_SUN_RAD: Final = 0.3  # below it a clear sky's radiation is too small to tell the clouds
LONGITUDE_DEG: Final = (-180.0, 180.0)
UTC_OFFSET_H: Final = (-14.0, 14.0)
HOUR: Final = (0.0, 24.0)
HOURLY_RADIATION_MJ_M2: Final = (0.0, 6.0)
DAY_H: Final = 24


class Hours(NamedTuple):
    """When: ``day_of_year`` and middle of each hour by the clock the year round, (hours, 1). [h]"""

    day_of_year: FloatArray
    middle: FloatArray


def hourly_reference_et(
    *,
    t_c: ArrayLike,
    vapour_pressure_kpa: ArrayLike,
    wind_2m_m_s: ArrayLike,
    solar_radiation_mj_m2: ArrayLike,
    day_of_year: ArrayLike,
    middle_h: ArrayLike,
    latitude_deg: ArrayLike,
    longitude_deg: ArrayLike,
    utc_offset_h: ArrayLike,
    elevation_m: ArrayLike,
    form: str = ASCE_EWRI,
) -> FloatArray:
    """Reference ET of each hour for the short reference surface.

    Parameters
    ----------
    t_c : array_like, shape (hours, places)
        Mean air temperature of the hour, consecutive hours. [degC]
    vapour_pressure_kpa, wind_2m_m_s : array_like, shape (hours, places)
        Vapour pressure, 0 to 10 [kPa], and wind at 2 m, 0 to 120 [m/s].
    solar_radiation_mj_m2 : array_like, shape (hours, places)
        Solar radiation of the hour, 0 to 6. [MJ/m2/h]
    day_of_year, middle_h : array_like, shape (hours,)
        Date, 1 to 366, and the clock at the middle of the hour, 0 to 24, standard time. [h]
    latitude_deg, longitude_deg, utc_offset_h, elevation_m : array_like, shape (places,)
        Where, east positive, and what the clock is ahead of universal time. [deg], [deg], [h], [m]
    form : str
        ``asce-ewri`` or ``fao-56``.

    Returns
    -------
    ndarray, shape (hours, places)
        NaN where an input is NaN. [mm/h]

    Raises
    ------
    ValueError
        If an argument is out of range or the form unknown.

    References
    ----------
    .. [1] ASCE-EWRI (2005); FAO-56 eq. 53.
    """
    if form not in FORMS:
        raise ValueError(f"form is {form!r}, accepted are {', '.join(FORMS)}")
    t = checked("t_c", t_c, ranges.TEMPERATURE_C)
    vapour = checked("vapour_pressure_kpa", vapour_pressure_kpa, ranges.VAPOUR_PRESSURE_KPA)
    wind = checked("wind_2m_m_s", wind_2m_m_s, ranges.WIND_M_S)
    solar = checked("solar_radiation_mj_m2", solar_radiation_mj_m2, HOURLY_RADIATION_MJ_M2)
    hours = Hours(
        checked("day_of_year", day_of_year, ranges.DAY_OF_YEAR)[:, np.newaxis],
        checked("middle_h", middle_h, HOUR)[:, np.newaxis],
    )
    latitude = np.radians(checked("latitude_deg", latitude_deg, ranges.LATITUDE_DEG))
    elevation = checked("elevation_m", elevation_m, ranges.ELEVATION_M)
    noon = solar_noon_h(hours.day_of_year, longitude_deg, utc_offset_h)
    above = extraterrestrial_hour(hours, latitude, noon_h=noon)
    height = sun_angle(hours, latitude, noon_h=noon)
    cloud = cloudiness(solar, equations.clear_sky(above, elevation), height_rad=height)
    net = (1.0 - equations.ALBEDO) * solar - _net_longwave(t, vapour, cloud)
    day = net > 0.0
    soil = np.where(day, SOIL_HEAT[0], SOIL_HEAT[1]) * net
    cd = np.where(day, *CD[form])
    gamma = equations.psychrometric(equations.pressure(elevation))
    slope = equations.slope(t)
    deficit = equations.saturation(t) - vapour
    driven = equations.WATER_MM_PER_MJ * slope * (net - soil)
    dried = gamma * CN / (t + 273.0) * wind * deficit
    return np.asarray((driven + dried) / (slope + gamma * (1.0 + cd * wind)))


def sums_of_days(et_mm: FloatArray) -> FloatArray:
    """Reference ET of whole days: hours below zero count, a day's sum as at least 0.

    Parameters
    ----------
    et_mm : ndarray, shape (24 x days, places)
        Reference ET of each hour, the first from midnight. [mm/h]

    Returns
    -------
    ndarray, shape (days, places)
        NaN where one of a day's hours is. [mm/d]

    Raises
    ------
    ValueError
        If the hours don't make whole days.
    """
    if len(et_mm) % DAY_H:
        raise ValueError(f"et_mm has {len(et_mm)} hours, accepted are whole days of {DAY_H}")
    return np.maximum(et_mm.reshape(-1, DAY_H, *et_mm.shape[1:]).sum(axis=1), 0.0)


def solar_noon_h(day_of_year: ArrayLike, longitude_deg: ArrayLike, utc_offset_h: ArrayLike) -> FloatArray:
    """Clock time at which the sun is highest, FAO-56 eqs. 31 to 33.

    Parameters
    ----------
    day_of_year : array_like
        1 to 366.
    longitude_deg, utc_offset_h : array_like
        East positive [deg] and what the clock is ahead of universal time, -14 to 14. [h]

    Returns
    -------
    ndarray
        Hours after midnight by the clock. [h]
    """
    b = 2.0 * math.pi * (np.asarray(day_of_year, dtype=np.float64) - 81.0) / 364.0
    season = 0.1645 * np.sin(2.0 * b) - 0.1255 * np.cos(b) - 0.025 * np.sin(b)
    longitude = checked("longitude_deg", longitude_deg, LONGITUDE_DEG)
    offset = checked("utc_offset_h", utc_offset_h, UTC_OFFSET_H)
    return np.asarray(12.0 + offset - longitude / 15.0 - season)


def extraterrestrial_hour(hours: Hours, latitude_rad: FloatArray, *, noon_h: FloatArray) -> FloatArray:
    """Radiation above the atmosphere in each hour, FAO-56 eqs. 28 to 30. [MJ/m2/h]"""
    declination = equations.declination(hours.day_of_year)
    sunset = np.arccos(equations.cosine_of_sunset(latitude_rad, declination))
    angle = math.pi / 12.0 * _from_noon(hours.middle, noon_h)
    begin = np.clip(angle - math.pi / 24.0, -sunset, sunset)
    end = np.clip(angle + math.pi / 24.0, -sunset, sunset)
    turning = (end - begin) * np.sin(latitude_rad) * np.sin(declination)
    standing = np.cos(latitude_rad) * np.cos(declination) * (np.sin(end) - np.sin(begin))
    strength = equations.strength_of_sun(hours.day_of_year) / 2.0  # 12 x 60 / pi instead of 24 x 60 / pi
    return np.asarray(np.maximum(strength * (turning + standing), 0.0))


def sun_angle(hours: Hours, latitude_rad: FloatArray, *, noon_h: FloatArray) -> FloatArray:
    """Height of the sun above the horizon at the middle of each hour. [rad]"""
    declination = equations.declination(hours.day_of_year)
    angle = math.pi / 12.0 * _from_noon(hours.middle, noon_h)
    sine = np.sin(latitude_rad) * np.sin(declination)
    sine = sine + np.cos(latitude_rad) * np.cos(declination) * np.cos(angle)
    return np.asarray(np.arcsin(np.clip(sine, -1.0, 1.0)))


def cloudiness(solar: FloatArray, clear: FloatArray, *, height_rad: FloatArray) -> FloatArray:
    """Cloudiness factor of each hour, ``1.35 Rs / Rso - 0.35`` within 0.05 to 1, held while the sun is low.

    Parameters
    ----------
    solar, clear : ndarray, shape (hours, places)
        Solar radiation as it was and under a clear sky. [MJ/m2/h]
    height_rad : ndarray, shape (hours, places)
        Height of the sun. [rad]

    Returns
    -------
    ndarray, shape (hours, places)
        1 under a clear sky; overcast, 0.05, where no hour of sun is known at all. [-]
    """
    known = (height_rad >= LOW_SUN_RAD) & np.isfinite(solar)
    share = np.clip(solar / np.maximum(clear, equations.NEXT_TO_NOTHING), 0.3, 1.0)
    told = np.where(known, 1.35 * share - 0.35, np.nan)
    told = _held(told)
    return np.where(np.isnan(told), 0.05, told)


def _held(values: FloatArray) -> FloatArray:
    """Fill NaN with the last value before it, at the beginning with the first after it."""
    rows = np.arange(len(values))[:, np.newaxis]
    known = np.isfinite(values)
    last = np.maximum.accumulate(np.where(known, rows, -1), axis=0)
    first = known.argmax(axis=0)
    place = np.where(last < 0, first, last)
    return np.take_along_axis(values, place, axis=0)


def _net_longwave(t_c: FloatArray, vapour_pressure_kpa: FloatArray, cloud: FloatArray) -> FloatArray:
    """Radiation lost as heat in an hour. [MJ/m2/h]"""
    humidity = 0.34 - 0.14 * np.sqrt(vapour_pressure_kpa)
    warmth = np.square(np.square(t_c + equations.KELVIN))
    return equations.STEFAN_BOLTZMANN_MJ_K4_M2 / 24.0 * warmth * humidity * cloud


def _from_noon(middle_h: FloatArray, noon_h: FloatArray) -> FloatArray:
    """Return hours from the sun's highest point, -12 to 12."""
    return np.asarray(np.mod(middle_h - noon_h + 12.0, 24.0) - 12.0)
