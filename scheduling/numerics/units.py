"""Units of a decision: one zone inside one program, or inside a controller that holds one percent for all.

A unit may have several runs, or none. An empty group inside a ``reduceat`` takes its neighbour's value, so
the ones here only ever see groups with members.
"""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fleet.numerics.ranges import Floats

Indices = NDArray[np.intp]
Bools = NDArray[np.bool_]


class RunsOfUnits:
    """The runs of a stretch of units, to add their depths up by unit."""

    def __init__(self, unit_of_run: Indices, *, units: int) -> None:
        """``unit_of_run`` ascending from 0, shape (runs,)."""
        self._units = units
        self._one_each = np.array_equal(unit_of_run, np.arange(units))
        self._have_runs, self._first = np.unique(unit_of_run, return_index=True)

    def sum(self, of_run: Floats) -> Floats:
        """Add up the last axis, (..., runs), by unit: (..., units); 0 for a unit without runs."""
        if self._one_each:
            return of_run
        total = np.zeros((*of_run.shape[:-1], self._units))
        if self._have_runs.size:
            total[..., self._have_runs] = np.add.reduceat(of_run, self._first, axis=-1)
        return total


def stretches(sizes: Indices, *, about: int) -> list[tuple[int, int]]:
    """Cut consecutive groups into stretches of about ``about`` members each, never through a group."""
    if not sizes.size:
        return []
    before = np.cumsum(sizes) - sizes
    starts = np.unique(np.searchsorted(before, np.arange(0, int(sizes.sum()), about)))
    starts = np.append(starts[starts < sizes.size], sizes.size)
    return [(int(a), int(b)) for a, b in pairwise(starts)]
