"""What the programs put on: starts by balance day, percents in force, net depths of each run."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fleet.numerics.ranges import Floats

Ints = NDArray[np.integer]


@dataclass(frozen=True, slots=True)
class Watering:
    """Irrigation on the runs axis; a run is one zone in one program, so a zone may have several.

    ``zone_of_run``, ``program_of_run`` (runs,); ``net_mm`` net depth of one start at each percent, (P,
    runs) [mm]; ``percent_index`` row of ``net_mm`` in force, (days, programs); ``starts`` starts credited
    to the balance day, 0 or more, (days, programs).
    """

    zone_of_run: Ints
    program_of_run: Ints
    net_mm: Floats
    percent_index: Ints
    starts: Ints

    def check(self, *, days: int, zones: int) -> None:
        """Raise ``ValueError`` where shapes don't agree or an index points outside."""
        runs, programs = len(self.zone_of_run), self.starts.shape[1]
        _agree("program_of_run", self.program_of_run.shape, (runs,))
        _agree("net_mm", self.net_mm.shape, (len(self.net_mm), runs))
        _agree("starts", self.starts.shape, (days, programs))
        _agree("percent_index", self.percent_index.shape, (days, programs))
        _inside("zone_of_run", self.zone_of_run, zones)
        _inside("program_of_run", self.program_of_run, programs)
        _inside("percent_index", self.percent_index, len(self.net_mm))
        if (self.starts < 0).any():
            raise ValueError(f"starts holds {self.starts.min()}, accepted range 0 and more")


class BlockWatering:
    """The part of a ``Watering`` that falls on a block of zones; ask for one day after the other."""

    def __init__(self, watering: Watering, zones: slice) -> None:
        runs = np.flatnonzero((watering.zone_of_run >= zones.start) & (watering.zone_of_run < zones.stop))
        programs = watering.program_of_run[runs].astype(np.intp)
        near = slice(int(programs.min()), int(programs.max()) + 1) if runs.size else slice(0, 0)
        self._zones = zones.stop - zones.start
        self._zone = watering.zone_of_run[runs].astype(np.intp) - zones.start
        self._program = programs - near.start
        self._run = np.arange(runs.size)
        self._net = np.ascontiguousarray(watering.net_mm[:, runs])
        self._one_run_each = np.array_equal(self._zone, np.arange(self._zones))
        self._percents, self._starts = watering.percent_index[:, near], watering.starts[:, near]
        self._changes = (self._percents[1:] != self._percents[:-1]).any(axis=1)
        self._stale = True
        self._now = np.zeros(runs.size)

    def on(self, day: int) -> Floats | None:
        """Return the net depth on each zone of the block [mm], or None where nothing runs that day."""
        self._stale |= day > 0 and bool(self._changes[day - 1])
        starts = self._starts[day]
        if not starts.any():
            return None
        if self._stale:
            self._now = self._net[self._percents[day].take(self._program), self._run]
            self._stale = False
        depth = starts.astype(np.float64).take(self._program)
        depth *= self._now
        if not self._one_run_each:
            depth = np.bincount(self._zone, weights=depth, minlength=self._zones)
        return np.asarray(depth, dtype=np.float64)


def _agree(name: str, shape: tuple[int, ...], wanted: tuple[int, ...]) -> None:
    if shape != wanted:
        raise ValueError(f"{name} has shape {shape}, accepted {wanted}")


def _inside(name: str, index: Ints, size: int) -> None:
    if index.size and (index.min() < 0 or index.max() >= size):
        raise ValueError(f"{name} holds {index.min()} to {index.max()}, accepted range 0 to {size - 1}")
