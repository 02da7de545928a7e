"""The percent search where nobody asks for the stress of every percent: the same choice from fewer trials.

Where a higher percent never brings less water, stress never rises with it, so the least percent that will do
can be closed in on: sixteen candidates over the whole range, then those between the two that enclose it.
"""

from math import ceil
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fleet.numerics.ranges import Floats
from scheduling.numerics.dry_down import Horizon, mean_and_worst
from scheduling.numerics.percent_search import MARGIN, SLIGHT, TOLERANCE, Choice
from scheduling.numerics.units import Bools, Indices

TRIED: Final = 16
Ints = NDArray[np.integer]


def never_less(net_mm: Floats) -> bool:
    """Tell whether no run gets less water at a higher candidate; ``net_mm`` is (P, runs). [mm]"""
    return bool((np.diff(net_mm, axis=0) >= 0.0).all())


def quick_search(
    *,
    percents: Floats,
    net_mm: Floats,
    kept_net_mm: Floats,
    starts: Ints,
    unit_of_run: Ints,
    group_of_unit: Ints,
    first_day: Ints,
    last_day: Ints,
    fixed_mm: Floats,
    start_depletion_mm: Floats,
    et_mm: Floats,
    rain_mm: Floats,
    taw_mm: Floats,
    raw_mm: Floats,
    allowed: Bools,
    margin: float = MARGIN,
    tolerance: float = TOLERANCE,
    bearable: ArrayLike = 0.0,
) -> Choice:
    """Choose as ``percent_search.search`` does, with the same parameters.

    Parameters
    ----------
    net_mm
        As there, and never less at a higher candidate, see ``never_less``.
    group_of_unit
        As there, and no group without a unit.
    fixed_mm, start_depletion_mm, et_mm, rain_mm, taw_mm, raw_mm
        As there, and all known: none is NaN.

    Returns
    -------
    Choice
        ``stress`` is NaN at every candidate that wasn't tried.
    """
    groups = allowed.shape[1]
    trials = _Trials(
        Horizon(
            net_mm=net_mm,
            kept_net_mm=kept_net_mm,
            starts=np.asarray(starts),
            unit_of_run=np.asarray(unit_of_run, dtype=np.intp),
            given_mm=fixed_mm + rain_mm,
            et_mm=et_mm,
            start_depletion_mm=start_depletion_mm,
            taw_mm=taw_mm,
            raw_mm=raw_mm,
        ),
        np.asarray(group_of_unit, dtype=np.intp),
        first=np.asarray(first_day, dtype=np.intp),
        last=np.asarray(last_day, dtype=np.intp),
        margin=margin,
    )
    found = allowed.any(axis=0)
    top = np.where(found, len(allowed) - 1 - np.argmax(allowed[::-1], axis=0), 0)
    each = np.arange(groups)
    stress = np.full(allowed.shape, np.nan)
    bearable_of = np.broadcast_to(np.asarray(bearable, dtype=np.float64), groups)
    rows = np.floor(np.linspace(0.0, 1.0, TRIED)[:, np.newaxis] * top + 1e-9).astype(np.intp)
    worst, slowed = trials.of(rows)
    stress[rows, each] = worst
    least = worst[-1]

    def first_that_does(worst: Floats, slowed: Floats) -> Indices:
        does = ((worst <= bearable_of) & (slowed <= SLIGHT)) | (worst <= least + tolerance)
        return np.asarray(np.argmax(does, axis=0), dtype=np.intp)

    place = first_that_does(worst, slowed)
    above, below = rows[place, each], np.where(place > 0, rows[place - 1, each], -1)
    steps = np.arange(1, ceil(len(allowed) / (TRIED - 1)) + 1)[:, np.newaxis]
    rows = np.minimum(below + steps, above)
    worst, slowed = trials.of(rows)
    stress[rows, each] = worst
    wanted = rows[first_that_does(worst, slowed), each]
    index, lower = _allowed_near(wanted, allowed)
    probe = np.where(lower < 0, index, lower)
    return Choice(
        index=np.where(found, index, -1),
        stress=stress,
        least=np.where(found, least, np.nan),
        deciding_unit=np.where(found, trials.worst_unit(probe), -1),
        left_out=np.zeros(taw_mm.shape, dtype=bool),
    )


class _Trials:
    """Stress of every group at a few candidates of its own."""

    def __init__(self, horizon: Horizon, owner: Indices, **judged: Any) -> None:
        self._horizon, self._owner = horizon, owner
        self._each_run = np.arange(horizon.unit_of_run.size)
        self._group_of_run = owner[horizon.unit_of_run]
        self._begins = np.flatnonzero(np.diff(owner, prepend=-1))
        self._first, self._last = judged["first"][owner], judged["last"][owner]
        self._margin = float(judged["margin"])

    def _by_unit(self, rows: Indices) -> tuple[Floats, Floats]:
        h = self._horizon
        net = h.net_mm[rows[:, self._group_of_run], self._each_run]
        tried = Horizon(net, *(getattr(h, name) for name in _BUT_NET))
        return mean_and_worst(tried, first=self._first, last=self._last, margin=self._margin)

    def of(self, rows: Indices) -> tuple[Floats, Floats]:
        """Return J and the worst day of rows (K, groups), each (K, groups)."""
        stress, slowed = self._by_unit(rows)
        worst, worst_day = (np.maximum.reduceat(one, self._begins, axis=1) for one in (stress, slowed))
        return worst, worst_day

    def worst_unit(self, row: Indices) -> Indices:
        """Return each group's worst unit at one row, (groups,); of equals, the first."""
        stress = self._by_unit(row[np.newaxis])[0][0]
        is_worst = stress == np.maximum.reduceat(stress, self._begins)[self._owner]
        units = np.arange(stress.size)
        return np.minimum.reduceat(np.where(is_worst, units, units.size), self._begins)


_BUT_NET = [name for name in Horizon.__slots__ if name != "net_mm"]


def _allowed_near(row: Indices, allowed: Bools) -> tuple[Indices, Indices]:
    """Return the lowest allowed row from ``row`` on and the highest allowed below that, -1 for none."""
    rows = np.arange(len(allowed))[:, np.newaxis]
    index = np.argmax(allowed & (rows >= row), axis=0)
    lower = np.where(allowed & (rows < index), rows, -1).max(axis=0)
    return np.asarray(index, dtype=np.intp), np.asarray(lower, dtype=np.intp)
