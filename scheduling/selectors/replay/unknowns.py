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
from scheduling.numerics.replay.joined import joined
from scheduling.numerics.replay.landscape import Landscape
from scheduling.numerics.replay.rules import Rules
from scheduling.numerics.replay.soil import et_as_decided
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
    begin = (
        np.full(season.landscape.groups, row_of(season.landscape, 1.0))
        if first_percent is None
        else first_percent
    )
    errors = _errors(season)
    mended = iter(_mended(season, errors, rules=rules, forecasts=forecasts, begin=begin))
    found = []
    for error in errors:
        left = _worst(
            *et_as_decided(
                error.real,
                right.lived,
                starts=season.starts,
                weather=season.weather,
                start_depletion_mm=error.start_mm,
                rain_share=rules.rain_share,
            )
        )
        found.append(
            Wrong(
                name=error.name,
                words=error.words,
                worst_adequacy=left,
                lost=right.worst - left,
                looked_adequacy=next(mended),
                trimmed_adequacy=None if error.trim is None else next(mended),
            )
        )
    return found


@dataclass(frozen=True)
class _Error:
    """The zones as they really are, the depletion they start from [mm] and the trim that would mend it."""

    name: str
    words: str
    real: Landscape
    start_mm: Floats
    trim: float | None


def _mended(
    season: Season, errors: list[_Error], *, rules: Rules, forecasts: Forecasts, begin: Indices
) -> list[float]:
    """Return the worst adequacy of each error with the soil looked at, then with its trim, side by side."""
    ways: list[tuple[_Error, float | None]] = []
    for error in errors:
        ways.append((error, None))
        if error.trim is not None:
            ways.append((error, error.trim))
    zones = season.landscape.zones
    looked = np.zeros((season.days, len(ways), zones), dtype=bool)
    trims = np.ones((season.days, len(ways), zones))
    for n, (_, trim) in enumerate(ways):
        looked[LOOK_EVERY_DAYS::LOOK_EVERY_DAYS, n] = trim is None
        trims[TRIM_AFTER_DAYS:, n] = 1.0 if trim is None else trim
    lived = live_through(
        joined([season.landscape] * len(ways)),
        starts=np.tile(season.starts, (1, len(ways))),
        weather=season.weather,
        days=season.days,
        start_depletion_mm=np.tile(season.start_depletion_mm, len(ways)),
        first_percent=np.tile(begin, len(ways)),
        rules=rules,
        forecasts=forecasts,
        truth=Truth(
            joined([error.real for error, _ in ways]),
            np.concatenate([error.start_mm for error, _ in ways]),
            looked.reshape(season.days, -1),
            trims.reshape(season.days, -1),
        ),
    )
    return [
        _worst(lived.et_mm[:, n * zones : (n + 1) * zones], lived.full_et_mm[:, n * zones : (n + 1) * zones])
        for n in range(len(ways))
    ]


def _errors(season: Season) -> list[_Error]:
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
        _Error(
            "efficiency",
            f"Only {100 * EFFICIENCY:.0f} % of the water believed reaches the roots: heads are less even.",
            uneven,
            start,
            1.0 / EFFICIENCY,
        ),
        _Error(
            "soil",
            f"The soil holds {100 * SMALLER:.0f} % of what was believed, about a class of texture lighter.",
            smaller,
            np.minimum(start, smaller.ground.taw_mm),
            None,
        ),
        _Error(
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
