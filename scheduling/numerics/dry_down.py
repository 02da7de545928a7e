"""The inner loop of the percent search: the balance of many units under every percent at once."""

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from fleet.numerics.ranges import Floats
from scheduling.numerics.soil_water import draw_et, stress_slope
from scheduling.numerics.units import Bools, Indices, RunsOfUnits


@dataclass(frozen=True, slots=True)
class Horizon:
    """What the coming days bring to each unit: shapes as in ``percent_search.search``, rain inside
    ``given_mm``."""

    net_mm: Floats
    kept_net_mm: Floats
    starts: NDArray[np.integer]
    unit_of_run: Indices
    given_mm: Floats
    et_mm: Floats
    start_depletion_mm: Floats
    taw_mm: Floats
    raw_mm: Floats

    def check(self) -> None:
        """Raise ``ValueError`` where shapes don't agree, an index points outside or RAW exceeds TAW."""
        (_, runs), (days, units) = self.net_mm.shape, self.et_mm.shape
        shapes = {
            "kept_net_mm": (runs,),
            "starts": (days, runs),
            "unit_of_run": (runs,),
            "given_mm": (days, units),
            "start_depletion_mm": (units,),
            "taw_mm": (units,),
            "raw_mm": (units,),
        }
        for name, shape in shapes.items():
            if getattr(self, name).shape != shape:
                raise ValueError(f"{name} has shape {getattr(self, name).shape}, accepted {shape}")
        if runs and (self.unit_of_run.min() < 0 or self.unit_of_run.max() >= units):
            raise ValueError(f"unit_of_run holds {self.unit_of_run.max()}, accepted range 0 to {units - 1}")
        if (self.raw_mm > self.taw_mm).any():
            raise ValueError("raw_mm is above taw_mm, accepted range above 0 to TAW")

    def complete(self) -> Bools:
        """Tell which units have no NaN or infinity in any of their own arrays or in those of their runs."""
        complete = np.logical_and.reduce([_finite(getattr(self, name)) for name in _BY_UNIT])
        broken = ~(_finite(self.net_mm) & _finite(self.kept_net_mm) & _finite(self.starts))
        complete[self.unit_of_run[broken]] = False
        return complete

    def of(self, units: Indices) -> "Horizon":
        """Return the part of some units (ascending), numbered from 0, their runs sorted by unit."""
        place = np.full(len(self.taw_mm), -1, dtype=np.intp)
        place[units] = np.arange(units.size)
        unit = place[self.unit_of_run]
        runs = np.flatnonzero(unit >= 0)
        runs = runs[np.argsort(unit[runs], kind="stable")]
        return Horizon(
            net_mm=self.net_mm[:, runs],
            kept_net_mm=self.kept_net_mm[runs],
            starts=self.starts[:, runs],
            unit_of_run=unit[runs],
            **{name: getattr(self, name)[..., units] for name in _BY_UNIT},
        )


_BY_UNIT = [field.name for field in fields(Horizon)][-5:]


def _finite(array: Floats | NDArray[np.integer]) -> Bools:
    """Tell whether all of a column is finite; a sum is finite only if its terms are, and needs no copy."""
    return np.isfinite(array.sum(axis=0) if array.ndim > 1 else array)


def mean_and_worst(
    horizon: Horizon, *, first: Indices, last: Indices, margin: float
) -> tuple[Floats, Floats]:
    """Return ``mean over days first..last of max(0, D - m RAW) / RAW`` of each unit, shape (P, units).

    And the worst of the same days, ``max of (D - RAW) / (TAW - RAW)``: the share by which growth slows at the
    end of it, below 0 where it doesn't.

    The state is the water left, ``TAW - D``. Before the first unit's candidate acts all percents are one row.
    """
    runs = RunsOfUnits(horizon.unit_of_run, units=first.size)
    first_of_run = first[horizon.unit_of_run]
    taw, raw = horizon.taw_mm, horizon.raw_mm
    slope, limit = stress_slope(taw, raw), taw - margin * raw
    water = np.maximum(taw - horizon.start_depletion_mm, 0.0)[np.newaxis]
    percents, units, opens = len(horizon.net_mm), first.size, int(first.min())
    scratch, total = np.empty_like(water), np.zeros((percents, units))
    least = np.full((percents, units), np.inf)
    for day in range(int(last.max()) + 1):
        if day == opens:
            water = np.repeat(water, percents, axis=0)
            scratch = np.empty_like(water)
        starts = horizon.starts[day]
        acts = day >= first_of_run
        if (starts * acts).any():
            water += runs.sum(horizon.net_mm * (starts * acts))
        water += horizon.given_mm[day] + runs.sum(horizon.kept_net_mm * (starts * ~acts))
        np.minimum(water, taw, out=water)
        draw_et(water, horizon.et_mm[day], slope=slope, scratch=scratch)
        judged = (day >= first) & (day <= last)
        if judged.any():
            np.subtract(limit, water, out=scratch)
            np.maximum(scratch, 0.0, out=scratch)
            if not judged.all():
                scratch *= judged
            total += scratch
            np.minimum(least, water if judged.all() else np.where(judged, water, np.inf), out=least)
    total /= raw * (last - first + 1)
    return total, 1.0 - least * slope
