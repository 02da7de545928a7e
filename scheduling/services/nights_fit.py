"""Whether a night is long enough: programs of a controller queue one after another until the hours end."""

from collections.abc import Mapping
from datetime import date, timedelta
from math import inf

import numpy as np
from numpy.typing import NDArray

from fleet.models import Site
from scheduling.models import Program
from scheduling.numerics.run_times import minutes_at, program_minutes
from scheduling.season.field import Field
from scheduling.selectors.night_queue import NIGHT_MIN, Fit, Heads, night_hours, one_night
from scheduling.services.groups import Group

Floats = NDArray[np.float64]


def hours_fit(
    programs: Mapping[int, Program],
    starts: NDArray[np.intp],
    *,
    took: Mapping[int, Floats],
    site: Site,
    on: date,
    heads: Heads,
) -> Fit:
    """Return how the tightest night of the horizon turns out at each candidate.

    Parameters
    ----------
    programs
        Programs of one controller by their place on the programs axis.
    starts
        Starts credited to each balance day from ``on``, (H, all programs).
    took
        Minutes one start of each program takes: (P,) for those that decide, (1,) for the others.
    site
        Where they run, with its rules loaded.
    heads
        What each program waters with; one that waters with nothing but what the rule leaves alone runs until
        noon.
    """
    places = list(programs)
    nights = {
        (tuple(row), night_hours(site, on + timedelta(days=n)))
        for n, row in enumerate((starts[1:, places] > 0).tolist())
        if any(row)
    }
    found = [
        one_night(
            {p: programs[p].start_times() for p, waters in zip(places, pattern, strict=True) if waters},
            took,
            hours,
            site,
            heads,
        )
        for pattern, hours in nights
    ]
    if not found:
        return Fit(np.full(1, -inf), float(NIGHT_MIN), np.zeros(1))
    past, free = found[0].past, found[0].free
    for fit in found[1:]:
        past, free = np.maximum(past, fit.past), np.maximum(free, fit.free)
    return Fit(past, max(found, key=lambda fit: float(fit.past.flat[-1])).ends, free)


def heads_of_programs(field: Field) -> Heads:
    """Return what each program waters with, by its place; a zone nobody has surveyed waters with ``""``."""
    head = {zone.pk: zone.head for zone in field.rows.zones}
    found: dict[int, set[str]] = {}
    for place, run in zip(field.entered.program.tolist(), field.rows.runs, strict=True):
        if run.minutes > 0:
            found.setdefault(place, set()).add(head[run.zone_id])
    return {place: frozenset(own) for place, own in found.items()}


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
    field: Field,
    group: Group,
    *,
    own: Mapping[int, Floats],
    others: Mapping[int, Floats],
    heads: Heads,
) -> Fit:
    """Return how the tightest night of a group's controller turns out for each of its candidates."""
    took = {**others, **own}
    starts = field.starts[field.today :].copy()
    starts[starts[:, group.columns].sum(axis=1) == 0] = 0
    programs = {column: field.programs[column] for column in took}
    return hours_fit(programs, starts, took=took, site=group.site, on=field.rows.on, heads=heads)
