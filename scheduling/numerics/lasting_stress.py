"""What a percent does to plants if one month's weather lasted: for cards that hold for whole months."""

import numpy as np
from numpy.typing import NDArray

from fleet.numerics.ranges import Floats, above_zero, within
from scheduling.numerics.soil_water import draw_et, stress_slope
from scheduling.numerics.units import Indices, RunsOfUnits

JUDGED_DAYS = 28


def lasting_stress(
    *,
    net_mm: Floats,
    starts: NDArray[np.integer],
    unit_of_run: Indices,
    et_mm_day: Floats,
    taw_mm: Floats,
    raw_mm: Floats,
    margin: float = 0.9,
    judged_days: int = JUDGED_DAYS,
) -> Floats:
    """Mean stress of the last days once a lasting weather without rain has settled.

    The account begins at the line it should be held to, ``D = m RAW``, and runs under the same daily ET; the
    mean of ``max(0, D - m RAW) / RAW`` is taken over the last ``judged_days``. A percent below what lasts
    shows however much the soil holds, which a horizon of some days wouldn't tell of a deep soil.

    Parameters
    ----------
    net_mm : ndarray, shape (P, runs)
        Net depth of one start at each percent, 0 or more. [mm]
    starts : ndarray, shape (H, runs)
        Starts credited to each day, H above ``judged_days``.
    unit_of_run : ndarray of int, shape (runs,)
        Unit of each run, 0 to units - 1.
    et_mm_day : ndarray, shape (units,)
        Landscape ET of every day, 0 or more. [mm/d]
    taw_mm, raw_mm : ndarray, shape (units,)
        Total and readily available water, 0 < RAW <= TAW. [mm]
    margin : float
        Share m of RAW up to which there is no stress, 0 to 1. [-]
    judged_days : int
        Days at the end that count; whole weeks, so that every weekday counts alike.

    Returns
    -------
    ndarray, shape (P, units)
        Stress, 0 and more. [-]

    Raises
    ------
    ValueError
        If an argument is out of range or shapes don't agree.

    References
    ----------
    .. [1] FAO Irrigation and Drainage Paper 56 (1998), chapter 8, eqs. 84 to 88, for the balance; the rule
       is ours.
    """
    taw, raw = above_zero("taw_mm", taw_mm), above_zero("raw_mm", raw_mm)
    et = within("et_mm_day", et_mm_day)
    depth, given = within("net_mm", net_mm), np.asarray(starts)
    m = float(within("margin", margin, high=1.0))
    owner = np.asarray(unit_of_run, dtype=np.intp)
    days, runs, units = len(given), depth.shape[1], taw.size
    if given.shape != (days, runs) or owner.shape != (runs,) or et.shape != taw.shape:
        raise ValueError(f"starts has shape {given.shape}, accepted {(days, runs)}; one ET, TAW, RAW a unit")
    if (raw > taw).any():
        raise ValueError("raw_mm is above taw_mm, accepted range above 0 to TAW")
    if not 0 < judged_days < days:
        raise ValueError(f"judged_days holds {judged_days}, accepted range 1 to {days - 1}")
    order = np.argsort(owner, kind="stable")
    of_units = RunsOfUnits(owner[order], units=units)
    depth, given = depth[:, order], given[:, order]
    slope, limit = stress_slope(taw, raw), taw - m * raw
    water = np.repeat((taw - m * raw)[np.newaxis], len(depth), axis=0)
    scratch, total = np.empty_like(water), np.zeros_like(water)
    for day in range(days):
        if given[day].any():
            water += of_units.sum(depth * given[day])
            np.minimum(water, taw, out=water)
        draw_et(water, et, slope=slope, scratch=scratch)
        if day >= days - judged_days:
            total += np.maximum(limit - water, 0.0)
    return np.asarray(total / (raw * judged_days))
