"""How deep to water where the days between two waterings are given."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fleet.numerics.ranges import Floats, above_zero, within
from scheduling.numerics.weeks_ahead import weeks_of

_ROUNDS = 4  # of the gaps, until the soil has found its level
_HALVINGS = 30
_SHARES = np.linspace(0.4, 1.0, 31)
_FEWEST_DAYS = 56
TOLERATED = 0.005  # as in the percent search


def depth_over_gaps(
    gaps: Sequence[int], et_mm_day: ArrayLike, *, raw_mm: ArrayLike, taw_mm: ArrayLike
) -> Floats:
    """Net depth of one watering: the least that does all a watering at such gaps can do.

    Where the soil bridges the longest gap, the need of the mean gap is all that is used. Where gaps differ,
    just that lets the soil run lower over two long ones in a row; then as much more is given as keeps it at
    or above its limit, at most the need of the longest gap. Where the soil doesn't bridge the longest gap,
    the least depth whose stress is within 0.005 of that of the whole need: more would drain.

    Parameters
    ----------
    gaps
        Whole days from each watering to the next, round and round, 1 or more, at least one. [d]
    et_mm_day : array_like, shape (zones,)
        Landscape ET, 0 or more. [mm/d]
    raw_mm, taw_mm : array_like, shape (zones,)
        Readily and total available water, 0 < RAW <= TAW. [mm]

    Returns
    -------
    ndarray, shape (zones,)
        Depth. [mm]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] Irrigation Association (2005): the depth of the interval, where readily available water lasts for
       it (from memory). What uneven gaps and gaps too long change is ours.
    """
    days = within("gaps", np.asarray(gaps, dtype=np.float64), low=1.0)
    if not days.size:
        raise ValueError("gaps is empty, accepted is at least one")
    et, raw = within("et_mm_day", et_mm_day), above_zero("raw_mm", raw_mm)
    low, high = days.mean() * et, days.max() * et
    bridged, enough = high <= raw + 1e-9, _worst(low, days, et) <= raw + 1e-9
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        holds = _worst(middle, days, et) <= raw + 1e-9
        low, high = np.where(holds, low, middle), np.where(holds, middle, high)
    depth = np.where(enough, days.mean() * et, high)
    if not bridged.all():
        few = ~bridged
        depth[few] = _of_few_days(days, et[few], raw[few], np.asarray(taw_mm, dtype=np.float64)[few])
    return depth


def _worst(depth: Floats, days: Floats, et: Floats) -> Floats:
    """Return the largest depletion that waterings of a depth leave, once the soil has found its level."""
    depletion, worst = np.zeros_like(et), np.zeros_like(et)
    for gap in np.tile(days, _ROUNDS):
        depletion = np.maximum(depletion - depth, 0.0) + gap * et
        worst = np.maximum(worst, depletion)
    return worst


def _of_few_days(days: Floats, et: Floats, raw: Floats, taw: Floats) -> Floats:
    """Return the least share of the longest gap's need that is as good as all of it."""
    waters = _calendar(days)
    tried = np.outer(_SHARES, days.max() * et)  # (shares, zones)
    wide = (np.broadcast_to(one, tried.shape).ravel() for one in (et, taw, raw))
    et_mm, taw_mm, raw_mm = wide
    stress = weeks_of(
        tried.ravel(),
        np.broadcast_to(waters[:, np.newaxis], (waters.size, tried.size)),
        et_mm=et_mm,
        taw_mm=taw_mm,
        raw_mm=raw_mm,
        counted=int(days.sum()) * max(1, waters.size // 2 // int(days.sum())),
    ).mean_over_share.reshape(tried.shape)
    first = np.argmax(stress <= stress.min(axis=0) + TOLERATED, axis=0)
    return np.asarray(tried[first, np.arange(et.size)])


def _calendar(days: Floats) -> NDArray[np.bool_]:
    """Return whole rounds of the gaps, each beginning with a watering; eight weeks at least."""
    one = np.concatenate([[True, *([False] * (int(gap) - 1))] for gap in days])
    return np.tile(one, max(2, -(-_FEWEST_DAYS // one.size)))
