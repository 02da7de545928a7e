"""Whether a coming night's watering can be left out: no zone may run dry before the next one lands."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fleet.numerics.ranges import Floats, above_zero, within
from scheduling.numerics.percent_search import trace
from scheduling.numerics.units import Bools, Indices

ROUNDING_MM = 1e-9
NIGHT = 1  # the coming night's water is credited to the day after the decision day


@dataclass(frozen=True, slots=True)
class SkipCheck:
    """What leaving out the coming night would do.

    ``safe`` whether a group may leave it out, (groups,); ``watered`` whether it would water any unit at all
    that night, (groups,). By unit: ``unit_safe``; ``peak`` the highest D / RAW in its window [-];
    ``passes_on`` first day of the horizon from 1 on that ends beyond ``m RAW`` without the night, -1 if
    none does; ``rain_mm`` rain credited in its window [mm]; ``window_end`` last day of its window.
    """

    safe: Bools
    watered: Bools
    unit_safe: Bools
    peak: Floats
    passes_on: Indices
    rain_mm: Floats
    window_end: Indices


def check_skip(
    *,
    net_mm: Floats,
    fixed_mm: Floats,
    group_of_unit: NDArray[np.integer],
    groups: int,
    start_depletion_mm: Floats,
    et_mm: Floats,
    rain_mm: Floats,
    taw_mm: Floats,
    raw_mm: Floats,
    margin: float = 0.9,
) -> SkipCheck:
    """Run each unit dry through the coming night and look until its next watering lands.

    Day 0 of the horizon is the decision day, whose water fell in the night before and stays. The night in
    question is credited to day 1. A unit's window is day 1 to the day before its next water lands (at least
    day 1), or to the end of the horizon if none does. A unit is safe if it ends every day of its window at
    or below ``m RAW``, or if it would get no water that night, so that leaving it out changes nothing. A
    group is safe if all its units are.

    Parameters
    ----------
    net_mm : ndarray, shape (H, units)
        Net irrigation of the group that decides, by balance day, H >= 2, 0 or more. [mm]
    fixed_mm : ndarray, shape (H, units)
        Water from elsewhere that the skip doesn't touch, 0 or more. [mm]
    group_of_unit : ndarray of int, shape (units,)
        Group of each unit, in any order.
    groups : int
        Number of groups.
    start_depletion_mm : ndarray, shape (units,)
        Depletion at the start of day 0, 0 or more. [mm]
    et_mm, rain_mm : ndarray, shape (H, units)
        Landscape ET and credited rain, 0 or more. [mm]
    taw_mm, raw_mm : ndarray, shape (units,)
        Total and readily available water, 0 < RAW <= TAW. [mm]
    margin : float
        Share m of RAW that may be used, 0 to 1. [-]

    Returns
    -------
    SkipCheck
        A unit with a NaN among its inputs is never safe; a group without units is neither safe nor watered.

    Raises
    ------
    ValueError
        If an argument is out of range or the horizon is shorter than two days.
    """
    days = len(net_mm)
    if days <= NIGHT:
        raise ValueError(f"net_mm has {days} days, accepted 2 or more")
    raw = above_zero("raw_mm", raw_mm)
    limit = within("margin", margin, high=1.0) * raw
    kept = within("net_mm", net_mm) + within("fixed_mm", fixed_mm)
    skipped = kept.copy()
    skipped[NIGHT] = fixed_mm[NIGHT]
    ends = trace(
        net_mm=skipped,
        start_depletion_mm=start_depletion_mm,
        et_mm=et_mm,
        rain_mm=rain_mm,
        taw_mm=taw_mm,
        raw_mm=raw,
    )
    window_end = _window_end(skipped)
    number = np.arange(days)[:, np.newaxis]
    in_window = (number >= NIGHT) & (number <= window_end)
    past = (ends > limit + ROUNDING_MM) & (number >= NIGHT)
    known = np.isfinite(ends).all(axis=0) & np.isfinite(limit)
    loses_water = ~(net_mm[NIGHT] <= 0.0)
    unit_safe = known & ~(past & in_window & loses_water).any(axis=0)
    owner = np.asarray(group_of_unit, dtype=np.intp)
    unsafe_units = np.bincount(owner[~unit_safe], minlength=groups)
    return SkipCheck(
        safe=(np.bincount(owner, minlength=groups) > 0) & (unsafe_units == 0),
        watered=np.bincount(owner[loses_water], minlength=groups) > 0,
        unit_safe=unit_safe,
        peak=np.where(in_window, ends / raw, -np.inf).max(axis=0),
        passes_on=np.where(past.any(axis=0), past.argmax(axis=0), -1),
        rain_mm=np.where(in_window, rain_mm, 0.0).sum(axis=0),
        window_end=window_end,
    )


def _window_end(water_mm: Floats) -> Indices:
    """Return the day before each unit's next water lands after the night in question, or the last day."""
    later = water_mm[NIGHT + 1 :] > 0.0
    if not later.size:
        return np.full(water_mm.shape[1], NIGHT, dtype=np.intp)
    return np.where(later.any(axis=0), NIGHT + later.argmax(axis=0), len(water_mm) - 1)
