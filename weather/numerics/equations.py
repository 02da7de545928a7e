"""The equations themselves, bare: no checks, no fallbacks, so they can run on blocks at full speed.

The public functions of this package check their arguments and then call these. Where the two standards
round a constant differently, the one of ASCE-EWRI (2005) is used: 4.901e-9 for the Stefan-Boltzmann constant
(FAO-56 has 4.903e-9) and 2503 for the slope of the saturation curve (FAO-56 has 4098 x 0.6108 = 2503.06).
Together they move a day's reference ET by less than 0.002 mm.

References
----------
.. [1] "FAO": Allen, Pereira, Raes, Smith (1998), FAO Irrigation and Drainage Paper 56.
.. [2] "ASCE": ASCE-EWRI (2005), The ASCE Standardized Reference Evapotranspiration Equation.
"""

import math
from typing import Final

import numpy as np

from .ranges import FloatArray

STEFAN_BOLTZMANN_MJ_K4_M2: Final = 4.901e-9
SOLAR_CONSTANT_MJ_M2_MIN: Final = 0.0820
WATER_MM_PER_MJ: Final = 0.408
ALBEDO: Final = 0.23
KELVIN: Final = 273.16
# Stands in for 0 where the sun doesn't rise, so that no division by zero is left.
NEXT_TO_NOTHING: Final = 1e-30


def pressure(elevation_m: FloatArray) -> FloatArray:
    """Air pressure [kPa], FAO eq. 7, ASCE eq. 3."""
    return 101.3 * ((293.0 - 0.0065 * elevation_m) / 293.0) ** 5.26


def psychrometric(pressure_kpa: FloatArray) -> FloatArray:
    """Psychrometric constant [kPa/degC], FAO eq. 8, ASCE eq. 4."""
    return 0.000665 * pressure_kpa


def saturation(t_c: FloatArray) -> FloatArray:
    """Saturation vapour pressure [kPa], FAO eq. 11, ASCE eq. 7."""
    return 0.6108 * np.exp(17.27 * t_c / (t_c + 237.3))


def slope(t_c: FloatArray) -> FloatArray:
    """Slope of the saturation curve [kPa/degC], FAO eq. 13, ASCE eq. 5."""
    return 2503.0 * np.exp(17.27 * t_c / (t_c + 237.3)) / np.square(t_c + 237.3)


def declination(day_of_year: FloatArray) -> FloatArray:
    """Solar declination [rad], FAO eq. 24, ASCE eq. 24."""
    return 0.409 * np.sin(2.0 * math.pi / 365.0 * day_of_year - 1.39)


def inverse_distance(day_of_year: FloatArray) -> FloatArray:
    """Inverse relative distance from earth to sun [-], FAO eq. 23, ASCE eq. 23."""
    return 1.0 + 0.033 * np.cos(2.0 * math.pi / 365.0 * day_of_year)


def strength_of_sun(day_of_year: FloatArray) -> FloatArray:
    """The factor in front of the brackets of FAO eq. 21 [MJ/m2/d]."""
    return 24.0 * 60.0 / math.pi * SOLAR_CONSTANT_MJ_M2_MIN * inverse_distance(day_of_year)


def cosine_of_sunset(latitude_rad: FloatArray, declination_rad: FloatArray) -> FloatArray:
    """Cosine of the sunset hour angle [-], FAO eq. 25; 1 in polar night and -1 under the midnight sun."""
    return np.clip(-np.tan(latitude_rad) * np.tan(declination_rad), -1.0, 1.0)


def extraterrestrial(latitude_rad: FloatArray, day_of_year: FloatArray) -> FloatArray:
    """Radiation above the atmosphere [MJ/m2/d], FAO eq. 21, ASCE eq. 21."""
    angle = declination(day_of_year)
    sunset = np.arccos(cosine_of_sunset(latitude_rad, angle))
    turning = sunset * np.sin(latitude_rad) * np.sin(angle)
    standing = np.sin(sunset) * np.cos(latitude_rad) * np.cos(angle)
    return strength_of_sun(day_of_year) * np.maximum(turning + standing, 0.0)


def clear_sky(extraterrestrial_mj_m2: FloatArray, elevation_m: FloatArray) -> FloatArray:
    """Radiation under a clear sky [MJ/m2/d], FAO eq. 37, ASCE eq. 19."""
    return (0.75 + 2e-5 * elevation_m) * extraterrestrial_mj_m2


def solar_from_range(
    range_c: FloatArray, extraterrestrial_mj_m2: FloatArray, coastal: FloatArray
) -> FloatArray:
    """Radiation from the day's temperature range [MJ/m2/d], FAO eq. 50; ``coastal`` is 0 or 1."""
    return (0.16 + 0.03 * coastal) * np.sqrt(range_c) * extraterrestrial_mj_m2


def net_longwave(
    t_min_c: FloatArray,
    t_max_c: FloatArray,
    *,
    vapour_pressure_kpa: FloatArray,
    solar: FloatArray,
    clear: FloatArray,
) -> FloatArray:
    """Net radiation lost as heat [MJ/m2/d], FAO eq. 39, ASCE eqs. 17 and 18 with Rs/Rso kept within 0.3 to 1.

    Where the sun does not rise nothing is known of the clouds, and the sky counts as overcast.
    """
    cloud = 1.35 * np.clip(solar / np.maximum(clear, NEXT_TO_NOTHING), 0.3, 1.0) - 0.35
    humidity = 0.34 - 0.14 * np.sqrt(vapour_pressure_kpa)
    low, high = np.square(t_min_c + KELVIN), np.square(t_max_c + KELVIN)
    return (0.5 * STEFAN_BOLTZMANN_MJ_K4_M2) * (low * low + high * high) * humidity * cloud


def hargreaves_samani(
    t_mean_c: FloatArray, range_c: FloatArray, extraterrestrial_mj_m2: FloatArray
) -> FloatArray:
    """Reference ET from temperatures alone [mm/d], FAO eq. 52."""
    return 0.0023 * WATER_MM_PER_MJ * (t_mean_c + 17.8) * np.sqrt(range_c) * extraterrestrial_mj_m2
