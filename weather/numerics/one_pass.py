"""The short reference surface's equation on a block of days and cells, in place.

The same equations as ``equations`` and ``penman_monteith``, which are the readable form of it, arranged so
that few operations and five work arrays are enough: with many cells, moving intermediate results to and from
memory costs more than the arithmetic. A test holds the two forms together.

With ``s = Tmin + Tmax`` the slope is ``K c``, where ``K`` is constant and ``c`` is
``exp(-2 x 17.27 x 237.3 / (s + 474.6)) / (s + 474.6)^2``. Numerator and denominator of the equation are both
divided by ``K``, and what is constant or depends on the place alone is multiplied together once:

    ET = [c x 0.408 Rn + (2 x 900 g / K) u2 (es - ea) / (s + 546)] / [c + g / K + (0.34 g / K) u2]
"""

import math
from typing import Final, NamedTuple

import numpy as np

from . import equations
from .penman_monteith import SHORT, DayOfWeather
from .ranges import FloatArray

WORK_ARRAYS: Final = 5

# exp(17.27 T / (T + 237.3)) is exp(17.27) exp(EXPONENT / (T + 237.3)), which saves an operation.
_EXPONENT: Final = -17.27 * 237.3
_HALF_SATURATION: Final = 0.5 * 0.6108 * math.exp(17.27)
_K: Final = 4.0 * 2503.0 * math.exp(17.27)
_EMISSION: Final = 0.5 * equations.STEFAN_BOLTZMANN_MJ_K4_M2 * equations.WATER_MM_PER_MJ
_KEPT: Final = (1.0 - equations.ALBEDO) * equations.WATER_MM_PER_MJ


class Terms(NamedTuple):
    """What depends on the place or on the day of the year alone, worked out once for all blocks."""

    tilt_of_place: FloatArray
    tilt_of_day: FloatArray
    clear_sky_of_place: FloatArray
    clear_sky_of_day: FloatArray
    drying: FloatArray
    resistance: FloatArray
    resistance_of_wind: FloatArray


def terms(latitude_rad: FloatArray, elevation_m: FloatArray, day_of_year: FloatArray) -> Terms:
    """The terms of places and days, in the shapes of the arguments."""
    declination = equations.declination(day_of_year)
    psychrometric = equations.psychrometric(equations.pressure(elevation_m)) / _K
    return Terms(
        tilt_of_place=np.tan(-latitude_rad),
        tilt_of_day=np.tan(declination),
        clear_sky_of_place=equations.clear_sky(np.cos(latitude_rad), elevation_m) / 1.35,
        clear_sky_of_day=equations.strength_of_sun(day_of_year) * np.cos(declination),
        drying=2.0 * SHORT.cn * psychrometric,
        resistance=psychrometric,
        resistance_of_wind=SHORT.cd * psychrometric,
    )


def short_reference_et(day: DayOfWeather, known: Terms, *, work: FloatArray, out: FloatArray) -> None:
    """Write the reference ET [mm/d] of checked weather to ``out``; ``work`` has WORK_ARRAYS rows."""
    energy, drying, both, curve, spare = (row[: out.size].reshape(out.shape) for row in work)
    _clear_sky(known, out=energy, spare=(curve, spare))
    _net_radiation(day, energy, spare=(curve, spare))
    _deficit(day, out=drying, spare=spare)
    drying *= day.wind_2m_m_s
    drying *= known.drying
    np.add(day.t_min_c, day.t_max_c, out=both)
    drying /= np.add(both, 546.0, out=spare)
    _curve(both, out=curve, spare=spare)
    energy *= curve
    energy += drying
    resistance = np.multiply(day.wind_2m_m_s, known.resistance_of_wind, out=spare)
    resistance += known.resistance
    resistance += curve
    np.divide(energy, resistance, out=out)


def _clear_sky(known: Terms, *, out: FloatArray, spare: tuple[FloatArray, FloatArray]) -> None:
    """Rso / 1.35.

    Ra goes with ws sin(lat) sin(dec) + cos(lat) cos(dec) sin(ws). As cos(ws) = -tan(lat) tan(dec), both
    parts hold cos(lat) cos(dec): what is left is sin(ws) - ws cos(ws), with the tilt itself in place of
    cos(ws) where the sun doesn't set.
    """
    tilt = np.multiply(known.tilt_of_day, known.tilt_of_place, out=spare[0])
    cosine = np.clip(tilt, -1.0, 1.0, out=out)
    turning = np.arccos(cosine, out=spare[1])
    turning *= tilt
    noon = np.sqrt(np.subtract(1.0, np.square(cosine, out=out), out=out), out=out)
    noon -= turning
    np.maximum(noon, equations.NEXT_TO_NOTHING, out=out)
    noon *= known.clear_sky_of_day
    noon *= known.clear_sky_of_place


def _net_radiation(day: DayOfWeather, clear_sky: FloatArray, *, spare: tuple[FloatArray, FloatArray]) -> None:
    """Turn Rso / 1.35 into 0.408 Rn."""
    lost = np.divide(day.solar_radiation_mj_m2, clear_sky, out=clear_sky)
    np.clip(lost, 0.3 * 1.35, 1.35, out=lost)
    lost -= 0.35
    emission = np.sqrt(day.vapour_pressure_kpa, out=spare[0])
    emission *= -0.14 * _EMISSION
    emission += 0.34 * _EMISSION
    lost *= emission
    warmth = np.add(day.t_min_c, equations.KELVIN, out=spare[0])
    np.square(np.square(warmth, out=warmth), out=warmth)
    warmest = np.add(day.t_max_c, equations.KELVIN, out=spare[1])
    warmth += np.square(np.square(warmest, out=warmest), out=warmest)
    lost *= warmth
    np.subtract(np.multiply(day.solar_radiation_mj_m2, _KEPT, out=spare[0]), lost, out=lost)


def _saturation(t_c: FloatArray, *, out: FloatArray) -> FloatArray:
    np.divide(_EXPONENT, np.add(t_c, 237.3, out=out), out=out)
    return np.exp(out, out=out)


def _deficit(day: DayOfWeather, *, out: FloatArray, spare: FloatArray) -> None:
    saturated = _saturation(day.t_min_c, out=out)
    saturated += _saturation(day.t_max_c, out=spare)
    saturated *= _HALF_SATURATION
    saturated -= day.vapour_pressure_kpa
    np.maximum(saturated, 0.0, out=out)


def _curve(both_c: FloatArray, *, out: FloatArray, spare: FloatArray) -> None:
    inverse = np.divide(1.0, np.add(both_c, 2.0 * 237.3, out=spare), out=spare)
    curve = np.exp(np.multiply(inverse, 2.0 * _EXPONENT, out=out), out=out)
    curve *= inverse
    curve *= inverse
