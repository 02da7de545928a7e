"""How a season went for each zone: share of its need met, water lost, and the least it could have had."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fleet.numerics.ranges import Floats
from scheduling.numerics.replay.days import Lived
from scheduling.numerics.replay.landscape import Landscape, waters
from scheduling.numerics.replay.least_water import least_water
from scheduling.numerics.units import Bools


@dataclass(frozen=True, slots=True)
class Score:
    """One value a zone.

    ``adequacy`` share of the season's full ET the planting had, ``1 - sum(lost share x ETl) / sum ETl`` [-];
    ``excess`` irrigation that drained below the roots or ran off, as a share of the season's full ET [-];
    ``gross_mm`` and ``least_gross_mm`` water given, and the least of a planner who knew the weather [mm];
    ``ratio`` the one by the other, NaN where the least is nothing [-].
    """

    adequacy: Floats
    excess: Floats
    gross_mm: Floats
    least_gross_mm: Floats
    ratio: Floats


def score(landscape: Landscape, lived: Lived, *, may_water: Bools, start_depletion_mm: Floats) -> Score:
    """Score a season lived through.

    Parameters
    ----------
    landscape, lived
        What was watered and what came of it.
    may_water : ndarray of bool, shape (days, zones)
        Days on which water could land on each zone.
    start_depletion_mm : ndarray, shape (zones,)
        Depletion before the first day. [mm]
    """
    ground = landscape.ground
    full = lived.full_et_mm.sum(axis=0)
    runoff = landscape.usable_share * lived.runoff_mm.sum(axis=0)
    least = least_water(
        et_mm=lived.full_et_mm,
        rain_mm=lived.rain_mm,
        may_water=may_water,
        start_depletion_mm=start_depletion_mm,
        end_depletion_mm=lived.depletion_mm[-1],
        taw_mm=ground.taw_mm,
        raw_mm=ground.raw_mm,
    ).sum(axis=0)
    least_gross = least / landscape.efficiency
    gross = lived.gross_mm.sum(axis=0)
    with np.errstate(invalid="ignore", divide="ignore"):
        return Score(
            adequacy=np.where(full > 0, lived.et_mm.sum(axis=0) / full, 1.0),
            excess=np.where(full > 0, (lived.drained_irrigation_mm.sum(axis=0) + runoff) / full, 0.0),
            gross_mm=gross,
            least_gross_mm=least_gross,
            ratio=np.where(least_gross > 0, gross / least_gross, np.nan),
        )


def days_to_water(landscape: Landscape, starts: NDArray[np.integer], *, days: int) -> Bools:
    """Tell on which of the first days water could land on each zone; never on the first."""
    may = waters(landscape, starts[:days])
    may[0] = False
    return may
