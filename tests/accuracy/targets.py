"""Targets of this project, as measured on the published test landscape."""

from dataclasses import dataclass

import numpy as np

from tests.scheduling.selectors.replay.test_six_zones import TARGETS, season

SEEDS = 10
DAYS = {7: "any day", 4: "4 days a week"}


@dataclass(frozen=True)
class Measured:
    """One target: water by the least there is, and the worst zone's adequacy and excess. [-]"""

    what: str
    target: float
    ratio: float
    adequacy: float
    excess: float


def measured() -> list[Measured]:
    """Live through every season of the targets."""
    found = []
    for sky, programs, days, most in TARGETS:
        runs = [
            season(dry=sky == "dry", programs=programs, days_per_week=days, seed=seed).decided
            for seed in range(SEEDS)
        ]
        found.append(
            Measured(
                what=f"{sky} station, {programs} programs, {DAYS[days]}",
                target=most,
                ratio=float(np.mean([r.score.gross_mm.sum() / r.score.least_gross_mm.sum() for r in runs])),
                adequacy=float(np.mean([r.worst for r in runs])),
                excess=float(np.mean([r.score.excess for r in runs], axis=0).max()),
            )
        )
    return found
