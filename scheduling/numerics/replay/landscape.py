"""What a replay waters: zones, the programs that water them, and the percents these may hold."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fleet.numerics.ranges import Floats, above_zero, within
from scheduling.numerics.gross_to_net import Application
from scheduling.numerics.run_times import Depths, depths_at
from scheduling.numerics.units import Bools, Indices


@dataclass(frozen=True, slots=True)
class Ground:
    """One value a zone, (zones,).

    ``kl`` landscape coefficient by month, January first, (12, zones) [-]; ``taw_mm``, ``raw_mm`` total and
    readily available water, 0 < RAW <= TAW [mm]; ``area_m2`` above 0; ``cell`` column of its weather.
    """

    kl: Floats
    taw_mm: Floats
    raw_mm: Floats
    area_m2: Floats
    cell: Indices


@dataclass(frozen=True, slots=True)
class Runs:
    """One value a run, a zone inside a program, sorted by program, (runs,).

    ``minutes`` of one start at 100 %, in steps of ``step`` [min]; ``cycle_min`` longest cycle, infinite
    where runs aren't split, and ``soak_min`` after it [min].
    """

    zone: Indices
    program: Indices
    minutes: Floats
    step: Floats
    cycle_min: Floats
    soak_min: Floats
    application: Application


@dataclass(frozen=True)
class Landscape:
    """Zones, runs and what the controllers may hold.

    ``group_of_program`` programs that share one percent share a group, (programs,); ``percents`` candidates
    as ratios, ascending, (P,); ``allowed`` which of them a group may hold, (P, groups).
    """

    ground: Ground
    runs: Runs
    group_of_program: Indices
    percents: Floats
    allowed: Bools

    def check(self) -> None:
        """Raise ``ValueError`` where a value is out of range or shapes don't agree."""
        zones, groups = self.zones, self.groups
        above_zero("raw_mm", self.ground.raw_mm)
        above_zero("area_m2", self.ground.area_m2)
        within("kl", self.ground.kl)
        if (self.ground.raw_mm > self.ground.taw_mm).any():
            raise ValueError("raw_mm is above taw_mm, accepted range above 0 to TAW")
        if self.ground.kl.shape != (12, zones):
            raise ValueError(f"kl has shape {self.ground.kl.shape}, accepted {(12, zones)}")
        if (np.diff(self.runs.program) < 0).any():
            raise ValueError("program of runs is not sorted, accepted are ascending numbers")
        if self.allowed.shape != (len(self.percents), groups):
            raise ValueError(
                f"allowed has shape {self.allowed.shape}, accepted {(len(self.percents), groups)}"
            )

    @property
    def zones(self) -> int:
        """Return the number of zones."""
        return self.ground.taw_mm.size

    @property
    def programs(self) -> int:
        """Return the number of programs."""
        return self.group_of_program.size

    @property
    def groups(self) -> int:
        """Return the number of groups that decide."""
        return int(self.group_of_program.max(initial=-1)) + 1

    @cached_property
    def depths(self) -> Depths:
        """Return minutes, gross and net depth of one start of every run at every percent, (P, runs)."""
        runs = self.runs
        return depths_at(
            self.percents,
            runs.minutes,
            runs.step,
            application=runs.application,
            cycle_min=runs.cycle_min,
            soak_min=runs.soak_min,
        )

    @cached_property
    def units(self) -> "Units":
        """Return what each group decides for: one unit a zone and group."""
        group = self.group_of_program[self.runs.program]
        pairs, unit = np.unique(
            group.astype(np.int64) * max(self.zones, 1) + self.runs.zone, return_inverse=True
        )
        return Units(
            zone=(pairs % max(self.zones, 1)).astype(np.intp),
            group=(pairs // max(self.zones, 1)).astype(np.intp),
            of_run=unit.astype(np.intp),
        )

    @cached_property
    def efficiency(self) -> Floats:
        """Return what a planner gets into the root zone of what each zone is given, E = A U, (zones,). [-]

        The best of a zone's runs; 1 for a zone without any.
        """
        a = self.runs.application
        return self._best_of_runs(np.asarray(a.ground_share) * np.asarray(a.usable_share))

    @cached_property
    def usable_share(self) -> Floats:
        """Return U of each zone, the best of its runs, 1 for a zone without any, (zones,). [-]"""
        return self._best_of_runs(np.asarray(self.runs.application.usable_share))

    def _best_of_runs(self, share: Floats) -> Floats:
        best = np.zeros(self.zones)
        np.maximum.at(best, self.runs.zone, np.broadcast_to(share, self.runs.zone.shape))
        return np.where(best > 0, best, 1.0)


@dataclass(frozen=True, slots=True)
class Units:
    """A zone inside a group, sorted by group: ``zone``, ``group`` (units,); ``of_run`` its place, (runs,)."""

    zone: Indices
    group: Indices
    of_run: Indices


def waters(landscape: Landscape, starts: NDArray[np.integer]) -> Bools:
    """Tell on which days water can land on each zone: (days, zones) from starts of (days, programs)."""
    found = np.zeros((len(starts), landscape.zones), dtype=bool)
    for run_zone, run_program, minutes in zip(
        landscape.runs.zone, landscape.runs.program, landscape.runs.minutes, strict=True
    ):
        if minutes > 0:
            found[:, run_zone] |= starts[:, run_program] > 0
    return found
