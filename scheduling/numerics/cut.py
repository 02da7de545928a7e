"""A cut in water, spread over zones: the first ranks keep their need, the last give what is missing."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fleet.numerics.ranges import Floats, within


def spread_cut(need: ArrayLike, *, share: float, rank: NDArray[np.integer], least_share: ArrayLike) -> Floats:
    """Return the share of its need each zone is held at, so that all together get ``share`` of the whole.

    Every zone is left its least share first. What remains goes to rank after rank, each filled up to its need
    before the next gets any; in the rank where it runs out every zone gets the same part of what it lacks.
    Where even the least shares are too much, all are held below them, each by the same part.

    Parameters
    ----------
    need : array_like, shape (zones,)
        Water each zone needs, 0 or more, in any one unit.
    share : float
        Share of the whole need there is, 0 to 1. [-]
    rank : ndarray of int, shape (zones,)
        1 is served first.
    least_share : array_like, broadcastable to (zones,)
        Share of its need a zone is left, 0 to 1. [-]

    Returns
    -------
    ndarray, shape (zones,)
        Factors, 0 to 1; NaN for every zone where a need is NaN, since nobody knows the whole. [-]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    The order of plants is common practice, no source; see ``fleet/numerics/cut_order.py``.
    """
    needs = within("need", need)
    part = float(within("share", share, high=1.0))
    least = np.broadcast_to(within("least_share", least_share, high=1.0), needs.shape)
    if np.isnan(needs).any():
        return np.full(needs.shape, np.nan)
    left = part * needs.sum()
    floor = float((least * needs).sum())
    if left <= floor:
        return np.asarray(least * (left / floor if floor else 1.0))
    held = least.copy()
    left -= floor
    for one in np.unique(rank):
        own = rank == one
        lacking = float(((1.0 - held) * needs)[own].sum())
        filled = 1.0 if lacking <= left else left / lacking
        held[own] += filled * (1.0 - held[own])
        left -= filled * lacking
        if filled < 1.0:
            break
    return np.asarray(np.minimum(held, 1.0))
