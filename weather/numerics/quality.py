"""Whether weather can be believed, before it is used and after reference ET is known.

Sources break: a radiation sum arrives in the wrong unit, a night's temperatures swap, a fill value slips
through. A value that can't be right is set to NaN, so that ``reference_et`` uses its fallback: no data are
better than bad data. A value that is merely odd is kept and flagged for a person. Missing values are no fault
and get no flag.

Flags are bits: bit ``i`` of a mask stands for ``FLAGS[i]``. Append new ones at the end: masks may
have been stored.

References
----------
.. [1] Range limits: those of agweather-qaqc, an open package for agricultural weather stations.
.. [2] Allen, Pereira, Raes, Smith (1998), FAO Irrigation and Drainage Paper 56, eqs. 11, 21 and 37.
.. [3] Radiation limits of 1.10 Rso and 0.03 Ra, and every limit on reference ET: our own, no source.
"""

from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from . import equations, ranges
from .ranges import FloatArray, checked
from .sun import extraterrestrial_radiation

FLAGS: Final = (
    "temperature out of range",
    "minimum above maximum temperature",
    "wind out of range",
    "rain out of range",
    "vapour pressure out of range",
    "vapour pressure above saturation",
    "radiation out of range",
    "radiation above clear sky",
    "radiation too low for any cloud",
    "reference ET out of range",
    "reference ET above what the sun can evaporate",
    "reference ET far from normal",
    "reference ET jumped since the day before",
    "reference ET unlike the source's own",
)

REJECTS: Final = {
    "temperature out of range": ("t_min_c", "t_max_c"),
    "minimum above maximum temperature": ("t_min_c", "t_max_c"),
    "wind out of range": ("wind_2m_m_s",),
    "rain out of range": ("rain_mm",),
    "vapour pressure out of range": ("vapour_pressure_kpa",),
    "vapour pressure above saturation": ("vapour_pressure_kpa",),
    "radiation out of range": ("solar_radiation_mj_m2",),
    "radiation above clear sky": ("solar_radiation_mj_m2",),
    "radiation too low for any cloud": ("solar_radiation_mj_m2",),
    "reference ET out of range": ("et_mm",),
    "reference ET above what the sun can evaporate": ("et_mm",),
}

TEMPERATURE_C: Final = (-50.0, 60.0)
WIND_M_S: Final = (0.0, 35.0)
RAIN_MM: Final = (0.0, 610.0)
VAPOUR_PRESSURE_KPA: Final = (0.0, 8.0)
# The package's lower limit of 0.43 would reject an overcast winter day at 55 degrees (a tenth of Ra). The
# share of Ra below takes its place: it asks more wherever Ra is above 14.
SOLAR_RADIATION_MJ_M2: Final = (0.0, 60.0)
MOST_OF_CLEAR_SKY: Final = 1.10
LEAST_OF_EXTRATERRESTRIAL: Final = 0.03
REFERENCE_ET_MM: Final = (0.0, 15.0)
SHARE_OF_NORMAL: Final = (0.25, 2.0)
JUMP_MM: Final = 5.0
UNLIKE_SOURCE_SHARE: Final = 0.20
UNLIKE_SOURCE_MM: Final = 1.0

Flags = NDArray[np.int32]
_Finding = tuple[str, NDArray[np.bool_]]


class Weather(NamedTuple):
    """A day's weather, with NaN for what is missing or was rejected."""

    t_min_c: FloatArray
    t_max_c: FloatArray
    vapour_pressure_kpa: FloatArray
    wind_2m_m_s: FloatArray
    solar_radiation_mj_m2: FloatArray
    rain_mm: FloatArray


def screen_weather(
    *,
    t_min_c: ArrayLike,
    t_max_c: ArrayLike,
    vapour_pressure_kpa: ArrayLike,
    wind_2m_m_s: ArrayLike,
    solar_radiation_mj_m2: ArrayLike,
    rain_mm: ArrayLike,
    latitude_deg: ArrayLike,
    elevation_m: ArrayLike,
    day_of_year: ArrayLike,
) -> tuple[Weather, Flags]:
    """Weather without what can't be right, and why.

    What comes out lies within the ranges ``daily_reference_et`` accepts.

    Parameters
    ----------
    t_min_c, t_max_c : array_like, broadcastable to (days, cells) like all the others
        The day's lowest and highest air temperature; kept within -50 to 60 and in order. [degC]
    vapour_pressure_kpa : array_like
        Actual vapour pressure; kept within 0 to 8 and up to saturation at the highest temperature. [kPa]
    wind_2m_m_s : array_like
        Wind speed at 2 m; kept within 0 to 35. [m/s]
    solar_radiation_mj_m2 : array_like
        Solar radiation; kept within 0 to 60, up to 1.10 Rso, from 0.03 Ra. [MJ/m2/d]
    rain_mm : array_like
        Rain; kept within 0 to 610. Missing rain is not zero rain. [mm]
    latitude_deg, elevation_m : array_like
        Of the cell, -90 to 90 and -500 to 9000. Where one is missing, radiation is only held to 0 to 60.
        [deg], [m]
    day_of_year : array_like
        1 to 366. [-]

    Returns
    -------
    weather : Weather
        The arguments with NaN where rejected, by REJECTS, in their common shape.
    flags : ndarray of int32
        Bits of FLAGS; 0 where nothing was found.

    Raises
    ------
    ValueError
        If latitude, elevation or day lies outside its range; never for weather, whatever it holds.
    """
    raw = t_min_c, t_max_c, vapour_pressure_kpa, wind_2m_m_s, solar_radiation_mj_m2, rain_mm
    above = extraterrestrial_radiation(latitude_deg, day_of_year)
    clear = equations.clear_sky(above, checked("elevation_m", elevation_m, ranges.ELEVATION_M))
    *weather, above, clear = np.broadcast_arrays(
        *(np.asarray(v, dtype=np.float64) for v in (*raw, above, clear))
    )
    given = Weather(*weather)
    values = given._asdict()
    flags = _apply(_weather_findings(given, above=above, clear=clear), values)
    return Weather(**values), flags


def screen_reference_et(
    *,
    et_mm: ArrayLike,
    latitude_deg: ArrayLike,
    day_of_year: ArrayLike,
    normal_mm: ArrayLike = np.nan,
    day_before_mm: ArrayLike = np.nan,
    source_mm: ArrayLike = np.nan,
) -> tuple[FloatArray, Flags]:
    """Reference ET without what can't be right, and what a person should look at.

    Parameters
    ----------
    et_mm : array_like, broadcastable to (days, cells) like all the others
        Reference ET; kept within 0 to 15 and up to 0.408 Ra, all the sun's energy as water. [mm/d]
    latitude_deg : array_like
        Of the cell, -90 to 90. [deg]
    day_of_year : array_like
        1 to 366. [-]
    normal_mm : array_like, optional
        The cell's normal for that day: flagged outside 0.25 to 2 times it. Until a person confirms such a
        value the normal is the better one to plan with. [mm/d]
    day_before_mm : array_like, optional
        Reference ET of the day before: flagged beyond a change of 5. [mm/d]
    source_mm : array_like, optional
        The weather source's own figure: flagged beyond 20 % and 1 mm from it. [mm/d]

    Returns
    -------
    et_mm : ndarray
        Reference ET with NaN where rejected. [mm/d]
    flags : ndarray of int32
        Bits of FLAGS; 0 where nothing was found.

    Raises
    ------
    ValueError
        If latitude or day lies outside its range.
    """
    above = extraterrestrial_radiation(latitude_deg, day_of_year)
    raw = et_mm, above, normal_mm, day_before_mm, source_mm
    et, above, normal, before, source = np.broadcast_arrays(*(np.asarray(v, dtype=np.float64) for v in raw))
    values = {"et_mm": et}
    flags = _apply(
        _reference_et_findings(et, above=above, normal=normal, before=before, source=source), values
    )
    return values["et_mm"], flags


def flag_bit(name: str) -> int:
    """The bit of a flag's name."""
    return 1 << FLAGS.index(name)


def flag_names(mask: int) -> tuple[str, ...]:
    """The names of the flags set in one mask."""
    return tuple(name for bit, name in enumerate(FLAGS) if int(mask) >> bit & 1)


def _weather_findings(given: Weather, *, above: FloatArray, clear: FloatArray) -> Iterator[_Finding]:
    yield (
        "temperature out of range",
        _outside(given.t_min_c, TEMPERATURE_C) | _outside(given.t_max_c, TEMPERATURE_C),
    )
    yield "minimum above maximum temperature", given.t_min_c > given.t_max_c
    yield "wind out of range", _outside(given.wind_2m_m_s, WIND_M_S)
    yield "rain out of range", _outside(given.rain_mm, RAIN_MM)
    yield "vapour pressure out of range", _outside(given.vapour_pressure_kpa, VAPOUR_PRESSURE_KPA)
    believed = np.where(_outside(given.t_max_c, TEMPERATURE_C), np.nan, given.t_max_c)
    yield "vapour pressure above saturation", given.vapour_pressure_kpa > equations.saturation(believed)
    solar = given.solar_radiation_mj_m2
    yield "radiation out of range", _outside(solar, SOLAR_RADIATION_MJ_M2)
    yield "radiation above clear sky", solar > MOST_OF_CLEAR_SKY * clear
    yield "radiation too low for any cloud", solar < LEAST_OF_EXTRATERRESTRIAL * above


def _reference_et_findings(
    et: FloatArray, *, above: FloatArray, normal: FloatArray, before: FloatArray, source: FloatArray
) -> Iterator[_Finding]:
    yield "reference ET out of range", _outside(et, REFERENCE_ET_MM)
    yield "reference ET above what the sun can evaporate", et > equations.WATER_MM_PER_MJ * above
    yield (
        "reference ET far from normal",
        (et < SHARE_OF_NORMAL[0] * normal) | (et > SHARE_OF_NORMAL[1] * normal),
    )
    yield "reference ET jumped since the day before", np.abs(et - before) > JUMP_MM
    apart = np.abs(et - source)
    yield (
        "reference ET unlike the source's own",
        (apart > UNLIKE_SOURCE_SHARE * source) & (apart > UNLIKE_SOURCE_MM),
    )


def _outside(values: FloatArray, limits: ranges.Limits) -> NDArray[np.bool_]:
    return np.asarray((values < limits[0]) | (values > limits[1]))


def _apply(findings: Iterator[_Finding], values: dict[str, FloatArray]) -> Flags:
    """Collect the flags, and put NaN in ``values`` for what they reject."""
    flags = np.zeros(next(iter(values.values())).shape, dtype=np.int32)
    for name, found in findings:
        flags |= np.where(found, flag_bit(name), 0).astype(np.int32)
        for field in REJECTS.get(name, ()):
            values[field] = np.where(found, np.nan, values[field])
    return flags
