"""Zones into programs: those that dry out alike share one, those that don't, don't.

A program waters all its zones on the same days and by the same percent, and the zone in most need decides
for all. What zones have to have in common is how long their soil lasts and how their need moves over the
year; how much each needs at a time is set by its own minutes.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fleet.numerics.ranges import Floats, above_zero, within

# Zones whose soil lasts for times within this ratio count as alike: a day in three. Our own choice.
ALIKE = 1.35


def days_of_water(raw_mm: ArrayLike, et_mm_day: ArrayLike) -> Floats:
    """How long the readily available water of each zone lasts.

    Parameters
    ----------
    raw_mm : array_like, shape (zones,)
        Readily available water, above 0. [mm]
    et_mm_day : array_like, shape (zones,) or (months, zones)
        Landscape ET, above 0. [mm/d]

    Returns
    -------
    ndarray
        Days, in the shape of ``et_mm_day``. [d]

    Raises
    ------
    ValueError
        If an argument is out of range.
    """
    return np.asarray(above_zero("raw_mm", raw_mm) / above_zero("et_mm_day", et_mm_day))


def grouped(
    days: ArrayLike, water_mm: ArrayLike, *, most: int, alike: float = ALIKE, level_weight: float = 1.0
) -> NDArray[np.intp]:
    """Sort zones into as few groups as hold only zones alike, or into the best ``most``.

    Zones are put in the order of how long their soil lasts in their driest month and cut where it costs
    least: the cost of a group is what its zones' days of water vary, month by month, weighted by the water
    they use.

    Parameters
    ----------
    days : array_like, shape (months, zones)
        Days the soil of each zone lasts, above 0. [d]
    water_mm : array_like, shape (zones,)
        Water each zone uses in its peak month, as a weight, 0 or more.
    most : int
        Programs the controller holds, 1 or more.
    alike : float
        Ratio of days up to which zones count as alike, 1 or more.
    level_weight : float
        How much it counts that one zone's soil lasts longer than another's throughout the year, beside how
        their needs move against each other, 0 to 1. Without rain it does not: each zone's minutes see to it.

    Returns
    -------
    ndarray of int, shape (zones,)
        Group of each zone, from 0, the one that dries first first.

    Raises
    ------
    ValueError
        If an argument is out of range.
    """
    lasting = np.log(above_zero("days", days))
    weight = within("water_mm", water_mm)
    if most < 1:
        raise ValueError(f"most holds {most}, accepted range 1 and more")
    if alike < 1:
        raise ValueError(f"alike holds {alike}, accepted range 1 and more")
    share = float(within("level_weight", level_weight, high=1.0))
    zones = lasting.shape[1]
    if not zones:
        return np.zeros(0, dtype=np.intp)
    order = np.lexsort((np.arange(zones), lasting.mean(axis=0), lasting.min(axis=0)))
    lasting = lasting - (1.0 - share) * lasting.mean(axis=0)
    ordered, weights = lasting[:, order], weight[order] + 1e-9
    cuts = _cuts(ordered, weights, most=min(most, zones), alike=np.log(alike) + 1e-12)
    groups = np.zeros(zones, dtype=np.intp)
    for start in cuts[1:]:
        groups[order[start:]] += 1
    return groups


def _cuts(lasting: Floats, weights: Floats, *, most: int, alike: float) -> list[int]:
    """Return where each group begins: the fewest groups alike throughout, else the cheapest ``most``."""
    zones = lasting.shape[1]
    cost = np.full((zones, zones + 1), np.inf)  # of a group from a to b
    spread = np.zeros((zones, zones + 1))
    for a in range(zones):  # of every group that begins at a: sums that grow zone by zone
        part, w = lasting[:, a:] - lasting[:, a : a + 1], weights[a:]
        squares, sums = np.cumsum(part**2 * w, axis=1), np.cumsum(part * w, axis=1)
        cost[a, a + 1 :] = np.maximum(squares - sums**2 / np.cumsum(w), 0.0).sum(axis=0)
        wide = np.maximum.accumulate(part, axis=1) - np.minimum.accumulate(part, axis=1)
        spread[a, a + 1 :] = wide.max(axis=0)
    found: list[int] = []
    last = _last_cuts(cost, most)
    for count in range(1, most + 1):
        found = _starts(last, count)
        ends = [*found[1:], zones]
        if all(spread[a, b] <= alike for a, b in zip(found, ends, strict=True)):
            break
    return found


def _last_cuts(cost: Floats, most: int) -> NDArray[np.intp]:
    """Return where the last of so many groups begins up to each zone, at least cost, by dynamic programming.

    Row by number of groups, from 0 to ``most``; column by where the zones end.
    """
    zones = cost.shape[0]
    best = np.full((most + 1, zones + 1), np.inf)
    cut = np.zeros((most + 1, zones + 1), dtype=np.intp)
    best[0, 0] = 0.0
    for groups in range(1, most + 1):
        for end in range(groups, zones + 1):
            totals = best[groups - 1, :end] + cost[:end, end]
            cut[groups, end] = int(np.argmin(totals))
            best[groups, end] = totals[cut[groups, end]]
    return cut


def _starts(cut: NDArray[np.intp], count: int) -> list[int]:
    """Return where each of ``count`` groups begins, the last ending with the last zone."""
    starts, end = [], cut.shape[1] - 1
    for groups in range(count, 0, -1):
        end = int(cut[groups, end])
        starts.append(end)
    return starts[::-1]
