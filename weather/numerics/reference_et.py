"""Daily reference ET of many places, with a value for every day that has temperatures.

Every value carries the method that gave it. What is missing (NaN) is filled in element by element by the
rules of FAO-56, chapter 3, "Calculation procedures with missing data":

* solar radiation from the temperature range (eq. 50), never more than a clear sky's (our own limit);
* vapour pressure from the lowest temperature (eq. 48), less an offset where the air is arid (Annex 6);
* wind taken as 2 m/s, the mean of 2,000 stations;
* with nothing but temperatures, the Hargreaves-Samani equation (eq. 52).

Measured or not, wind counts as at least 0.5 m/s (FAO-56, chapter 3, on wind data: in calm air rising warm air
still carries vapour away), and a day's reference ET as at least 0.

References
----------
.. [1] Allen, Pereira, Raes, Smith (1998), FAO Irrigation and Drainage Paper 56, chapters 3 and 4.
   The 2 and 0.5 m/s and the offset are quoted from memory.
.. [2] ASCE-EWRI (2005), The ASCE Standardized Reference Evapotranspiration Equation.
"""

from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from . import equations, ranges
from .one_pass import WORK_ARRAYS, Terms, short_reference_et, terms
from .penman_monteith import DayOfWeather
from .ranges import FloatArray, checked

# The position is the code: 1 for radiation, 2 for humidity and 4 for wind that was missing and filled in.
METHODS: Final = (
    "penman-monteith",
    "penman-monteith, no radiation",
    "penman-monteith, no humidity",
    "penman-monteith, no radiation/humidity",
    "penman-monteith, no wind",
    "penman-monteith, no radiation/wind",
    "penman-monteith, no humidity/wind",
    "hargreaves-samani",
    "none",
)
NONE: Final = METHODS.index("none")

WIND_WHERE_MISSING_M_S: Final = 2.0
CALM_M_S: Final = 0.5

# Work arrays of this size stay in the processor's cache and are long enough to make a call worth its cost.
_BLOCK_VALUES: Final = 32768

Codes = NDArray[np.int8]
_Block = tuple[slice, slice]
_LIMITS: Final = (
    ranges.TEMPERATURE_C,
    ranges.TEMPERATURE_C,
    ranges.VAPOUR_PRESSURE_KPA,
    ranges.WIND_M_S,
    ranges.RADIATION_MJ_M2,
)


class _Place(NamedTuple):
    latitude_rad: FloatArray
    elevation_m: FloatArray
    day_of_year: FloatArray
    coastal: FloatArray
    dew_point_offset_c: FloatArray


def daily_reference_et(
    *,
    t_min_c: ArrayLike,
    t_max_c: ArrayLike,
    vapour_pressure_kpa: ArrayLike,
    wind_2m_m_s: ArrayLike,
    solar_radiation_mj_m2: ArrayLike,
    latitude_deg: ArrayLike,
    elevation_m: ArrayLike,
    day_of_year: ArrayLike,
    coastal: ArrayLike = False,
    dew_point_offset_c: ArrayLike = 0.0,
) -> tuple[FloatArray, Codes]:
    """Short reference ET, daily, of every day and cell, and how each value was found.

    Arguments broadcast against each other to at most ``(days, cells)``; day of the year as ``(days, 1)`` and
    latitude as ``(cells,)`` are the cheapest. NaN means "missing".

    Parameters
    ----------
    t_min_c, t_max_c : array_like
        The day's lowest and highest air temperature, -90 to 70. [degC]
    vapour_pressure_kpa : array_like
        Actual vapour pressure, 0 to 10. [kPa]
    wind_2m_m_s : array_like
        Wind speed at 2 m, 0 to 120. [m/s]
    solar_radiation_mj_m2 : array_like
        Solar radiation, 0 to 100. [MJ/m2/d]
    latitude_deg, elevation_m : array_like
        Of the cell, -90 to 90 and -500 to 9000. [deg], [m]
    day_of_year : array_like
        1 to 366. [-]
    coastal : array_like of bool
        Whether the sea governs the air there; used only where radiation is missing.
    dew_point_offset_c : array_like
        K0, by how much the dew point stays below the lowest temperature, 0 to 10: 0 where it is humid, 2 to 3
        where it is arid; used only where vapour pressure is missing. [degC]

    Returns
    -------
    et_mm : ndarray
        Reference ET, at least 0; NaN where a temperature or the place is missing. [mm/d]
    method : ndarray of int8
        Position in METHODS.

    Raises
    ------
    ValueError
        If an argument lies outside its range, a minimum temperature lies above its maximum, or the arguments
        don't broadcast to two dimensions or fewer.

    References
    ----------
    ASCE-EWRI eq. 1; FAO-56 eqs. 6, 48, 50 and 52.
    """
    weather = t_min_c, t_max_c, vapour_pressure_kpa, wind_2m_m_s, solar_radiation_mj_m2
    arrays = [np.asarray(values, dtype=np.float64) for values in weather]
    arrays += [
        np.radians(checked("latitude_deg", latitude_deg, ranges.LATITUDE_DEG)),
        checked("elevation_m", elevation_m, ranges.ELEVATION_M),
        checked("day_of_year", day_of_year, ranges.DAY_OF_YEAR),
        np.asarray(coastal, dtype=np.float64),
        checked("dew_point_offset_c", dew_point_offset_c, ranges.DEW_POINT_OFFSET_C),
    ]
    shape = np.broadcast_shapes(*(array.shape for array in arrays))
    if len(shape) > 2:
        raise ValueError(f"the arguments have {len(shape)} dimensions together; they may have 0 to 2")
    planes = [array.reshape((1,) * (2 - array.ndim) + array.shape) for array in arrays]
    et_mm, method = _in_blocks(DayOfWeather(*planes[:5]), _Place(*planes[5:]))
    return et_mm.reshape(shape), method.reshape(shape)


def _in_blocks(weather: DayOfWeather, places: _Place) -> tuple[FloatArray, Codes]:
    rows, columns = np.broadcast_shapes(*(plane.shape for plane in (*weather, *places)))
    et_mm = np.empty((rows, columns))
    method = np.zeros(et_mm.shape, dtype=np.int8)
    known = terms(places.latitude_rad, places.elevation_m, places.day_of_year)
    all_placed = not any(np.isnan(plane).any() for plane in places[:3])
    work = np.empty((WORK_ARRAYS, min(et_mm.size, _BLOCK_VALUES)))
    for block in _blocks(rows, columns):
        day, terms_here = DayOfWeather(*_cut(weather, block)), Terms(*_cut(known, block))
        if _require_possible(day) and all_placed:
            _penman_monteith(day, terms_here, work=work, out=et_mm[block])
        else:
            place = _Place(*_cut(places, block))
            method[block] = _with_fallbacks(day, place, terms_here, work=work, out=et_mm[block])
    return et_mm, method


def _blocks(rows: int, columns: int) -> Iterator[_Block]:
    width = max(1, min(columns, _BLOCK_VALUES))
    height = _BLOCK_VALUES // width
    for top in range(0, rows, height):
        for left in range(0, columns, width):
            yield slice(top, top + height), slice(left, left + width)


def _cut(planes: Iterable[FloatArray], block: _Block) -> Iterator[FloatArray]:
    whole = slice(None)
    for plane in planes:
        yield plane[block[0] if plane.shape[0] > 1 else whole, block[1] if plane.shape[1] > 1 else whole]


def _require_possible(day: DayOfWeather) -> bool:
    """Raise for impossible weather; otherwise say whether none is missing."""
    named = zip(day._fields, day, _LIMITS, strict=True)
    complete = [ranges.require_within(name, values, limits) for name, values, limits in named]
    ranges.require_ordered(day.t_min_c, day.t_max_c)
    return all(complete)


def _penman_monteith(day: DayOfWeather, known: Terms, *, work: FloatArray, out: FloatArray) -> None:
    short_reference_et(
        day._replace(wind_2m_m_s=np.maximum(day.wind_2m_m_s, CALM_M_S)), known, work=work, out=out
    )
    np.maximum(out, 0.0, out=out)


def _with_fallbacks(
    day: DayOfWeather, place: _Place, known: Terms, *, work: FloatArray, out: FloatArray
) -> Codes:
    no_humidity, no_wind, no_sun = (np.isnan(np.broadcast_to(values, out.shape)) for values in day[2:])
    filled = day._replace(
        vapour_pressure_kpa=_humid(day, place, no_humidity),
        wind_2m_m_s=np.where(no_wind, WIND_WHERE_MISSING_M_S, day.wind_2m_m_s),
        solar_radiation_mj_m2=_sunny(day, place, no_sun),
    )
    _penman_monteith(filled, known, work=work, out=out)
    only_temperatures = no_humidity & no_wind & no_sun
    out[only_temperatures] = _by_temperature(day, place, only_temperatures)
    code = np.asarray(no_sun + no_humidity * np.int8(2) + no_wind * np.int8(4), dtype=np.int8)
    code[np.isnan(out)] = NONE
    return code


def _at(places: NDArray[np.bool_], *planes: FloatArray) -> Iterator[FloatArray]:
    """Of each plane the values at some places of a block, in one row: gaps are few and estimates cost."""
    row, column = np.divmod(np.flatnonzero(places), places.shape[1])
    return (plane[row if plane.shape[0] > 1 else 0, column if plane.shape[1] > 1 else 0] for plane in planes)


def _humid(day: DayOfWeather, place: _Place, missing: NDArray[np.bool_]) -> FloatArray:
    vapour = np.array(np.broadcast_to(day.vapour_pressure_kpa, missing.shape))
    t_min, offset = _at(missing, day.t_min_c, place.dew_point_offset_c)
    vapour[missing] = equations.saturation(t_min - offset)
    return vapour


def _sunny(day: DayOfWeather, place: _Place, missing: NDArray[np.bool_]) -> FloatArray:
    solar = np.array(np.broadcast_to(day.solar_radiation_mj_m2, missing.shape))
    t_min, t_max, *sun = _at(missing, day.t_min_c, day.t_max_c, place.latitude_rad, place.day_of_year)
    elevation, coastal = _at(missing, place.elevation_m, place.coastal)
    above = equations.extraterrestrial(*sun)
    estimate = equations.solar_from_range(t_max - t_min, above, coastal)
    solar[missing] = np.minimum(estimate, equations.clear_sky(above, elevation))
    return solar


def _by_temperature(day: DayOfWeather, place: _Place, here: NDArray[np.bool_]) -> FloatArray:
    t_min, t_max, *sun = _at(here, day.t_min_c, day.t_max_c, place.latitude_rad, place.day_of_year)
    above = equations.extraterrestrial(*sun)
    return np.maximum(equations.hargreaves_samani(0.5 * (t_min + t_max), t_max - t_min, above), 0.0)
