"""Zones to be planned from scratch: what a replay needs to know about each before anything waters it."""

from dataclasses import dataclass

import numpy as np

from fleet.numerics.ranges import Floats
from scheduling.numerics.gross_to_net import (
    LEAST_CYCLE_MIN,
    Application,
    longest_cycle_min,
    shortest_soak_min,
)


@dataclass(frozen=True, slots=True)
class Plots:
    """One value a zone, (zones,), in the units of ``numerics.replay.landscape``.

    ``names`` how each is called; ``cycle_min`` longest cycle without runoff, infinite where none;
    ``soak_min`` the soak a whole cycle needs; ``assumed`` by name, what nobody has measured.
    """

    names: list[str]
    kl: Floats  # (12, zones)
    taw_mm: Floats
    raw_mm: Floats
    area_m2: Floats
    application: Application
    cycle_min: Floats
    soak_min: Floats
    assumed: dict[str, list[str]]

    @property
    def efficiency(self) -> Floats:
        """Return the share of the gross water that the planting can use. [-]"""
        a = self.application
        return np.asarray(np.broadcast_to(a.ground_share, len(self.names)) * a.usable_share)


def cycles_and_soaks(application: Application) -> tuple[Floats, Floats]:
    """Return the longest cycle without runoff, in whole minutes, and the soak it needs; both (zones,). [min]

    A cycle is never shorter than the least that counts as water; what runs off of it then is said as runoff.
    """
    a = application
    longest = longest_cycle_min(
        a.rate_mm_h, intake_mm_h=a.intake_mm_h, accumulation_mm=a.accumulation_mm, ground_share=a.ground_share
    )
    cycle = np.maximum(np.floor(longest), LEAST_CYCLE_MIN)
    held = np.where(np.isfinite(cycle), cycle, 0.0)
    soak = shortest_soak_min(
        held, rate_mm_h=a.rate_mm_h, intake_mm_h=a.intake_mm_h, ground_share=a.ground_share
    )
    return cycle, np.ceil(soak)
