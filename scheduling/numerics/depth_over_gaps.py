"""How deep to water where the days between two waterings are not always the same."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from fleet.numerics.ranges import Floats, above_zero, within

_ROUNDS = 4  # of the gaps, until the soil has found its level
_HALVINGS = 30


def depth_over_gaps(
    gaps: Sequence[float], et_mm_day: ArrayLike, *, raw_mm: ArrayLike, margin: float = 0.9
) -> Floats:
    """Net depth of one watering: the least that makes up for the mean gap and bridges the longest.

    The need of the mean gap is all that is used. Where the gaps differ, giving just that lets the soil run
    lower over two long gaps in a row; then as much more is given as keeps it at or above its limit, at most
    the need of the longest gap. Never more than ``m RAW``, as in ``base_schedule.depth_per_watering``.

    Parameters
    ----------
    gaps
        Days from each watering to the next, round and round, above 0, at least one. [d]
    et_mm_day : array_like, shape (zones,)
        Landscape ET, 0 or more. [mm/d]
    raw_mm : array_like, shape (zones,)
        Readily available water, 0 or more. [mm]
    margin : float
        Share m of it that is really used, 0 to 1. [-]

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
    .. [1] Irrigation Association (2005): depth of the interval, never above readily available water. What
       uneven gaps add is ours.
    """
    days = above_zero("gaps", np.asarray(gaps, dtype=np.float64))
    if not days.size:
        raise ValueError("gaps is empty, accepted is at least one")
    et, raw = within("et_mm_day", et_mm_day), within("raw_mm", raw_mm)
    low, high = days.mean() * et, days.max() * et
    enough = _worst(low, days, et) <= raw
    bridged = high <= raw  # otherwise no depth keeps it above its limit, and the mean is what is used
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        holds = _worst(middle, days, et) <= raw
        low, high = np.where(holds, low, middle), np.where(holds, middle, high)
    depth = np.where(enough | ~bridged, days.mean() * et, high)
    return np.asarray(np.minimum(depth, within("margin", margin, high=1.0) * raw))


def _worst(depth: Floats, days: Floats, et: Floats) -> Floats:
    """Return the largest depletion that waterings of a depth leave, once the soil has found its level."""
    depletion, worst = np.zeros_like(et), np.zeros_like(et)
    for gap in np.tile(days, _ROUNDS):
        depletion = np.maximum(depletion - depth, 0.0) + gap * et
        worst = np.maximum(worst, depletion)
    return worst
