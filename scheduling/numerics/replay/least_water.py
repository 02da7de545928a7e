"""The least water of a planner who knew the weather: what any way of deciding is measured against."""

import numpy as np

from fleet.numerics.ranges import Floats, within
from scheduling.numerics.units import Bools

ROUNDING_MM = 1e-9


def least_water(
    *,
    et_mm: Floats,
    rain_mm: Floats,
    may_water: Bools,
    start_depletion_mm: Floats,
    end_depletion_mm: Floats,
    taw_mm: Floats,
    raw_mm: Floats,
) -> Floats:
    """Net water of each day with which a zone is never short and ends no drier than told, least in sum.

    The linear program is: least ``sum I`` with ``D = D_before - I + drained - R + ET``, ``0 <= D``,
    ``D <= RAW``, ``I = 0`` where water can't land, ``D_end`` at most the end. Water as late and as little as
    possible solves it: before each gap only what keeps D within RAW until the next day water can land, or
    all the soil takes where the gap is too long. Where no watering keeps a zone within RAW, ET goes on in
    full, so the soil is that much emptier afterwards; D stops at TAW.

    Parameters
    ----------
    et_mm, rain_mm : ndarray, shape (days, zones)
        Landscape ET and credited rain as they came, 0 or more. [mm]
    may_water : ndarray of bool, shape (days, zones)
        Days on which water can land on a zone.
    start_depletion_mm, end_depletion_mm : ndarray, shape (zones,)
        Depletion before the first day and the most allowed after the last, 0 to TAW. [mm]
    taw_mm, raw_mm : ndarray, shape (zones,)
        Total and readily available water, 0 < RAW <= TAW. [mm]

    Returns
    -------
    ndarray, shape (days, zones)
        Net irrigation. [mm]

    Raises
    ------
    ValueError
        If an argument is out of range.
    """
    et, rain = within("et_mm", et_mm), within("rain_mm", rain_mm)
    depletion = np.minimum(within("start_depletion_mm", start_depletion_mm), taw_mm)
    end = np.maximum(within("end_depletion_mm", end_depletion_mm), 0.0)
    need = _need_at_start(et, rain, may_water, end=end, raw_mm=raw_mm)
    given = np.zeros_like(et)
    for day in range(len(et)):
        wanted = np.clip(depletion - need[day], 0.0, depletion)
        given[day] = np.where(may_water[day] & (wanted > ROUNDING_MM), wanted, 0.0)
        depletion = np.maximum(depletion - given[day] - rain[day], 0.0) + et[day]
        depletion = np.minimum(depletion, taw_mm)
    return given


def _need_at_start(
    et_mm: Floats, rain_mm: Floats, may_water: Bools, *, end: Floats, raw_mm: Floats
) -> Floats:
    """Return how deep the depletion of a day's start, after its water, may be at most, (days, zones).

    It lasts until the next day water can land; below 0 where not even a full soil lasts.
    """
    most = np.empty_like(et_mm)
    after = np.broadcast_to(end, et_mm.shape[1:])  # what the day may end with
    for day in range(len(et_mm) - 1, -1, -1):
        # D_end = max(D - rain, 0) + ET; the rain that drains helps nobody.
        ends = np.minimum(after, raw_mm) if day < len(et_mm) - 1 else np.minimum(end, raw_mm)
        room = ends - et_mm[day]
        full_lasts = room >= -ROUNDING_MM
        most[day] = np.where(full_lasts, np.maximum(room, 0.0) + rain_mm[day], room)
        # Before a day on which water can land nothing need be kept for it but what the soil takes.
        after = np.where(may_water[day], raw_mm, most[day])
    return most
