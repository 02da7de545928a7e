"""What nobody knew for certain: the same season where the ground isn't what it was taken for.

Decisions go by what is believed. Beside each error stand the same season with the soil looked at every four
weeks, and with a trim of the need where the error is one that a trim mends.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from fleet.numerics.ranges import Floats
from scheduling.numerics.replay.days import Truth, live_through
from scheduling.numerics.replay.foresight import Forecasts
from scheduling.numerics.replay.landscape import Landscape
from scheduling.numerics.replay.rules import Rules
from scheduling.numerics.units import Indices
from scheduling.selectors.replay.living import Course, Season, row_of

EFFICIENCY: Final = 0.8
SMALLER: Final = 0.75
LOOK_EVERY_DAYS: Final = 28
TRIM_AFTER_DAYS: Final = 28


@dataclass(frozen=True)
class Wrong:
    """One thing taken wrong, and the adequacy of the zone that fared worst. [-]

    ``lost`` what it cost beside everything being right; ``looked_adequacy`` with the soil looked at every
    four weeks, ``trimmed_adequacy`` with a trim from the fifth week on, None where no trim mends it.
    """

    name: str
    words: str
    worst_adequacy: float
    lost: float
    looked_adequacy: float
    trimmed_adequacy: float | None


def taken_wrong(
    season: Season,
    *,
    rules: Rules,
    forecasts: Forecasts,
    right: Course,
    first_percent: Indices | None = None,
) -> list[Wrong]:
    """Live the season through again with each error in turn.

    Parameters
    ----------
    season, rules, forecasts, first_percent
        As in ``living.replayed``.
    right : Course
        How it went with everything as it was taken for.
    """
    believed = season.landscape
    hundred = np.full(believed.groups, row_of(believed, 1.0))
    begin = hundred if first_percent is None else first_percent
    found = []
    for name, words, real, start, trim in _errors(season):
        lived = {}
        for how, looked, factor in (("left", False, 1.0), ("looked", True, 1.0), ("trimmed", False, trim)):
            if factor is None:
                continue
            mornings = np.zeros(season.days, dtype=bool)
            mornings[::LOOK_EVERY_DAYS] = looked
            mornings[0] = False
            trims = np.ones((season.days, believed.zones))
            trims[TRIM_AFTER_DAYS:] = factor
            lived[how] = live_through(
                believed,
                starts=season.starts,
                weather=season.weather,
                days=season.days,
                start_depletion_mm=season.start_depletion_mm,
                first_percent=begin,
                rules=rules,
                forecasts=forecasts,
                truth=Truth(real, start, mornings, trims),
            )
        found.append(
            Wrong(
                name=name,
                words=words,
                worst_adequacy=_worst(lived["left"].et_mm, lived["left"].full_et_mm),
                lost=right.worst - _worst(lived["left"].et_mm, lived["left"].full_et_mm),
                looked_adequacy=_worst(lived["looked"].et_mm, lived["looked"].full_et_mm),
                trimmed_adequacy=_worst(lived["trimmed"].et_mm, lived["trimmed"].full_et_mm)
                if "trimmed" in lived
                else None,
            )
        )
    return found


def _errors(season: Season) -> list[tuple[str, str, Landscape, Floats, float | None]]:
    """Return name, words, the real landscape, its start and the trim that would mend it, of every error."""
    believed, start = season.landscape, season.start_depletion_mm
    smaller = replace(
        believed,
        ground=replace(
            believed.ground,
            taw_mm=SMALLER * believed.ground.taw_mm,
            raw_mm=SMALLER * believed.ground.raw_mm,
        ),
    )
    application = believed.runs.application
    uneven = replace(
        believed,
        runs=replace(
            believed.runs,
            application=replace(application, usable_share=EFFICIENCY * np.asarray(application.usable_share)),
        ),
    )
    return [
        (
            "efficiency",
            f"Only {EFFICIENCY:.0%} of the water believed reaches the roots: heads less even than thought.",
            uneven,
            start,
            1.0 / EFFICIENCY,
        ),
        (
            "soil",
            f"The soil holds {SMALLER:.0%} of what was believed, about a class of texture lighter.",
            smaller,
            np.minimum(start, smaller.ground.taw_mm),
            None,
        ),
        (
            "start",
            "The soil was drawn to where stress begins on the first day, not half way there.",
            believed,
            believed.ground.raw_mm,
            None,
        ),
    ]


def _worst(et_mm: Floats, full_mm: Floats) -> float:
    need = full_mm.sum(axis=0)
    return float((et_mm.sum(axis=0)[need > 0] / need[need > 0]).min(initial=1.0))
