"""Water in the root zone, one day at a time: FAO-56 chapter 8, with the losses booked to who caused them.

The state is the depletion D, the water missing below field capacity: 0 is full, TAW is the wilting point.
The order inside a day is fixed: irrigation (before dawn), rain, then ET. What does not fit drains at once
and is booked to the irrigation or the rain that brought it.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from fleet.numerics.ranges import Floats, within


@dataclass(frozen=True, slots=True)
class Day:
    """What one day did to each zone; all [mm].

    ``D_end = D_start - irrigation + drained_irrigation - rain + drained_rain + et``.
    """

    depletion_mm: Floats
    et_mm: Floats
    drained_irrigation_mm: Floats
    drained_rain_mm: Floats


def total_available_water(
    capacity: ArrayLike, root_depth_mm: ArrayLike, *, wetted_share: ArrayLike = 1.0
) -> Floats:
    """Water the root zone holds between field capacity and wilting point.

    Parameters
    ----------
    capacity : array_like
        Available water-holding capacity, field capacity less wilting point, 0 to 1. [mm/mm]
    root_depth_mm : array_like
        Depth of the root zone, 0 or more. [mm]
    wetted_share : array_like
        Share of the root zone that is ever wetted (drip), 0 to 1. [-]

    Returns
    -------
    ndarray
        Total available water. [mm]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] FAO Irrigation and Drainage Paper 56 (1998), chapter 8, eq. 82; the wetted share is ours.
    """
    share = within("wetted_share", wetted_share, high=1.0)
    return np.asarray(within("capacity", capacity, high=1.0) * within("root_depth_mm", root_depth_mm) * share)


def readily_available_water(taw_mm: ArrayLike, allowed_depletion: ArrayLike) -> Floats:
    """Water a plant may use before it is watered again.

    Parameters
    ----------
    taw_mm : array_like
        Total available water, 0 or more. [mm]
    allowed_depletion : array_like
        Share of it that may be used (management allowed depletion), 0 to 1. [-]

    Returns
    -------
    ndarray
        Readily available water. [mm]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] FAO Irrigation and Drainage Paper 56 (1998), chapter 8, eq. 83.
    """
    return np.asarray(within("taw_mm", taw_mm) * within("allowed_depletion", allowed_depletion, high=1.0))


def stress_coefficient(depletion_mm: ArrayLike, *, taw_mm: ArrayLike, raw_mm: ArrayLike) -> Floats:
    """Share of its full ET a planting still has at a depletion, ``Ks = (TAW - D) / (TAW - RAW)``.

    Parameters
    ----------
    depletion_mm : array_like
        Depletion, 0 to TAW. [mm]
    taw_mm, raw_mm : array_like
        Total and readily available water, 0 <= RAW <= TAW. [mm]

    Returns
    -------
    ndarray
        Ks, 1 up to RAW, then falling to 0 at TAW. [-]

    References
    ----------
    .. [1] FAO Irrigation and Drainage Paper 56 (1998), chapter 8, eq. 84.
    """
    depletion, taw, raw = (np.asarray(value, dtype=np.float64) for value in (depletion_mm, taw_mm, raw_mm))
    return np.clip((taw - depletion) * stress_slope(taw, raw), 0.0, 1.0)


def one_day(
    depletion_mm: ArrayLike,
    *,
    irrigation_mm: ArrayLike,
    rain_mm: ArrayLike,
    et_mm: ArrayLike,
    taw_mm: ArrayLike,
    raw_mm: ArrayLike,
) -> Day:
    """Take every zone through one day.

    Ks is that of the depletion after the day's irrigation and rain, before its ET: on a dry day this is the
    depletion at the start of the day, as in FAO-56 example 37.

    Parameters
    ----------
    depletion_mm : array_like, shape (zones,)
        Depletion at the start of the day, 0 to TAW. [mm]
    irrigation_mm, rain_mm, et_mm : array_like, broadcastable to (zones,)
        Net irrigation, credited rain and landscape ET of the day, 0 or more. [mm]
    taw_mm, raw_mm : array_like, broadcastable to (zones,)
        Total and readily available water, 0 <= RAW <= TAW. [mm]

    Returns
    -------
    Day
        NaN where an input is NaN.

    References
    ----------
    .. [1] FAO Irrigation and Drainage Paper 56 (1998), chapter 8, eqs. 84 to 88.
    """
    start, taw = np.asarray(depletion_mm, dtype=np.float64), np.asarray(taw_mm, dtype=np.float64)
    watered = start - np.asarray(irrigation_mm, dtype=np.float64)
    drained_irrigation = np.maximum(-watered, 0.0)
    rained = watered + drained_irrigation - np.asarray(rain_mm, dtype=np.float64)
    drained_rain = np.maximum(-rained, 0.0)
    depletion = rained + drained_rain
    et = stress_coefficient(depletion, taw_mm=taw, raw_mm=raw_mm) * np.asarray(et_mm, dtype=np.float64)
    et = np.minimum(et, taw - depletion)  # where a day's ET is larger than TAW - RAW
    ends = np.minimum(depletion + et, taw)
    return Day(np.asarray(ends), np.asarray(et), np.asarray(drained_irrigation), np.asarray(drained_rain))


def stress_slope(taw_mm: Floats, raw_mm: Floats) -> Floats:
    """Return ``1 / (TAW - RAW)`` [1/mm], finite where RAW is all of TAW: ET then stops only at the wilting
    point."""
    return np.asarray(1.0 / np.maximum(taw_mm - raw_mm, 1e-12))


def draw_et(water_mm: Floats, et_mm: Floats, *, slope: Floats, scratch: Floats) -> Floats:
    """Take a day's ET out of the water left, in place: the ET step of ``one_day`` for the inner loops.

    With W = TAW - D left, ``min(Ks ET, W)`` is ``min(W min(ET slope, 1), ET)``, which needs two passes over
    the state instead of four.

    Parameters
    ----------
    water_mm : ndarray, shape (..., zones)
        Water left, 0 to TAW; changed in place. [mm]
    et_mm, slope : ndarray, shape (zones,)
        Landscape ET of the day [mm] and ``stress_slope`` [1/mm].
    scratch : ndarray, shape of ``water_mm``
        Overwritten with the ET taken. [mm]

    Returns
    -------
    ndarray
        ``scratch``.
    """
    np.multiply(water_mm, np.minimum(et_mm * slope, 1.0), out=scratch)
    np.minimum(scratch, et_mm, out=scratch)
    np.subtract(water_mm, scratch, out=water_mm)
    return scratch
