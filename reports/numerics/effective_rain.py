"""Effective rain of a month: the share of its rain that plants can use. For months only, never for days.

The same relation stands here twice, once with the constants for inches and once with those for millimetres;
the constants of one with depths in the other give nonsense, so each function names its unit.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

USUAL_STORAGE_MM: Final = 75.0
_MM_PER_INCH: Final = 25.4
_POWER: Final = 0.82416


def storage_factor(storage_in: ArrayLike) -> Floats:
    """Return the factor for the water the soil can hold for the plants, 1 at 3 in.

    Parameters
    ----------
    storage_in : array_like
        Usable storage: what irrigation is let draw from the soil before it comes again, above 0 to 8. [in]

    Returns
    -------
    ndarray
        Factor. [-]

    Raises
    ------
    ValueError
        If a storage lies outside.

    References
    ----------
    .. [1] USDA SCS Technical Release 21 (1970); National Engineering Handbook part 623, chapter 2, eq. 2-85.
    """
    depth = np.asarray(storage_in, dtype=np.float64)
    if ((depth <= 0.0) | (depth > 8.0)).any():
        raise ValueError(f"storage is {depth.min():g} to {depth.max():g} in, accepted above 0 to 8")
    return np.asarray(0.531747 + 0.295164 * depth - 0.057697 * depth**2 + 0.003804 * depth**3)


def month_effective_rain_in(rain_in: ArrayLike, et_in: ArrayLike, *, storage_in: ArrayLike) -> Floats:
    """Return the effective rain of months in inches, never more than their rain or their ET.

    Parameters
    ----------
    rain_in, et_in : array_like
        A whole month's rain and landscape ET, 0 or more. [in/month]
    storage_in : array_like
        Usable soil water storage, above 0 to 8. [in]

    Returns
    -------
    ndarray
        Effective rain. [in/month]

    Raises
    ------
    ValueError
        If rain or ET is negative, or the storage out of range.

    References
    ----------
    .. [1] USDA SCS Technical Release 21 (1970); National Engineering Handbook part 623, chapter 2, eq. 2-84.
    """
    rain, et = _depths(rain_in, et_in)
    raw = (0.70917 * rain**_POWER - 0.11556) * 10.0 ** (0.02426 * et)
    return _capped(storage_factor(storage_in) * raw, rain, et)


def month_effective_rain_mm(
    rain_mm: ArrayLike, et_mm: ArrayLike, *, storage_mm: ArrayLike = USUAL_STORAGE_MM
) -> Floats:
    """Return the effective rain of months in millimetres, never more than their rain or their ET.

    Parameters
    ----------
    rain_mm, et_mm : array_like
        A whole month's rain and landscape ET, 0 or more. [mm/month]
    storage_mm : array_like
        Usable soil water storage, above 0 to 203. [mm]

    Returns
    -------
    ndarray
        Effective rain. [mm/month]

    Raises
    ------
    ValueError
        If rain or ET is negative, or the storage out of range.

    References
    ----------
    .. [1] The same relation with constants for millimetres; their short forms 1.25, 0.824, 2.93 are in print,
       the further digits from memory.
    """
    rain, et = _depths(rain_mm, et_mm)
    raw = (1.25247 * rain**_POWER - 2.93522) * 10.0 ** (0.000955 * et)
    factor = storage_factor(np.asarray(storage_mm, dtype=np.float64) / _MM_PER_INCH)
    return _capped(factor * raw, rain, et)


def _depths(rain: ArrayLike, et: ArrayLike) -> tuple[Floats, Floats]:
    rain, et = np.asarray(rain, dtype=np.float64), np.asarray(et, dtype=np.float64)
    if (rain < 0.0).any() or (et < 0.0).any():
        raise ValueError("rain and ET of a month are 0 or more")
    return rain, et


def _capped(effective: Floats, rain: Floats, et: Floats) -> Floats:
    return np.asarray(np.clip(effective, 0.0, np.minimum(rain, et)))
