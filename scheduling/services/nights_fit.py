"""Whether a night is long enough: programs of a controller queue one after another until the hours end."""

from collections.abc import Mapping
from datetime import time

import numpy as np
from numpy.typing import NDArray

from fleet.models import Site
from scheduling.models import Program
from scheduling.numerics.run_times import minutes_at, program_minutes
from scheduling.season.field import Field
from scheduling.services.groups import Group

Floats = NDArray[np.float64]

NOON_MIN = 12 * 60
NIGHT_MIN = 24 * 60


def minutes_into_night(at: time) -> int:
    """Return the minutes from noon to a time of day, 0 to 1439."""
    return (at.hour * 60 + at.minute - NOON_MIN) % NIGHT_MIN


def night_ends_min(site: Site) -> int:
    """Return when watering must be over, in minutes after noon: the rule's hour, else the next noon."""
    rule = site.watering_rule
    if rule is None or rule.hours_to is None:
        return NIGHT_MIN
    return minutes_into_night(rule.hours_to) or NIGHT_MIN


def nights_over(
    programs: Mapping[int, Program], starts: NDArray[np.intp], *, took: Mapping[int, Floats]
) -> Floats:
    """Return when the latest night of the horizon is over, in minutes after noon, by candidate.

    Parameters
    ----------
    programs
        Programs of one controller by their place on the programs axis.
    starts
        Starts credited to each balance day, (H, all programs).
    took
        Minutes one start of each program takes: (P,) for those that decide, (1,) for the others.

    Returns
    -------
    ndarray, shape (P,) or (1,)
        Minutes after noon; 0 where nothing waters.
    """
    latest: Floats = np.zeros(1)
    patterns = {tuple(row) for row in (starts[1:, list(programs)] > 0).tolist()}
    for pattern in patterns:
        queue = sorted(
            (minutes_into_night(at), place)
            for (place, program), waters in zip(programs.items(), pattern, strict=True)
            if waters
            for at in program.start_times()
        )
        free: Floats = np.zeros(1)
        for at, place in queue:
            runs = took[place] > 0
            free = np.where(runs, np.maximum(free, float(at)) + took[place], free)
        latest = np.maximum(latest, free)
    return latest


def minutes_of_programs(field: Field, percents: Floats, *, columns: list[int]) -> dict[int, Floats]:
    """Return the minutes one start of each program takes at each percent, (P,), every zone counted."""
    entered = field.entered
    wanted = np.flatnonzero(np.isin(entered.program, columns))
    place = {column: n for n, column in enumerate(sorted(columns))}
    took = program_minutes(
        minutes_at(percents / 100.0, entered.minutes[wanted], entered.step[wanted]),
        cycle_min=entered.cycle[wanted],
        soak_min=entered.soak[wanted],
        program_of_run=np.array([place[int(p)] for p in entered.program[wanted]], dtype=np.intp),
        programs=len(columns),
    )
    return {column: took[:, n] for column, n in place.items()}


def minutes_at_percents(field: Field, percents: NDArray[np.int64]) -> dict[int, Floats]:
    """Return the minutes, (1,), one start of every program takes at a percent of its own, (programs,)."""
    entered = field.entered
    scaled = entered.minutes * percents[entered.program] / 100.0
    took = program_minutes(
        minutes_at(np.ones(1), scaled, entered.step),
        cycle_min=entered.cycle,
        soak_min=entered.soak,
        program_of_run=entered.program,
        programs=len(field.programs),
    )
    return {column: took[:, column] for column in range(len(field.programs))}


def group_night(
    field: Field, group: Group, *, own: Mapping[int, Floats], others: Mapping[int, Floats]
) -> Floats:
    """Return when the controller's latest night is over for each candidate of a group, minutes after noon."""
    took = {**others, **own}
    programs = {column: field.programs[column] for column in took}
    starts = field.starts[field.today :].copy()
    starts[starts[:, group.columns].sum(axis=1) == 0] = 0
    return nights_over(programs, starts, took=took)
