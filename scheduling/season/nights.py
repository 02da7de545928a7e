"""Which nights a program waters, and at which percent.

A night runs from noon to noon and its water is credited to the balance day of its second date. A start at or
after noon belongs to the night that begins on its date, an earlier start to the night before.
"""

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fleet.models.rules import WEEKDAYS
from scheduling.models import Program

Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
WEEKS = 52  # of a year, so that odd and even dates count as often as they come


def watering_days(program: Program, *, first: date, count: int) -> Bools:
    """Tell for ``count`` calendar days from ``first`` whether each is a watering day."""
    if program.days == "daily":
        return np.ones(count, dtype=bool)
    if program.days in ("odd", "even"):
        numbers = np.array([(first + timedelta(days=i)).day for i in range(count)])
        return np.asarray((numbers % 2 == 1) == (program.days == "odd"))
    allowed = {WEEKDAYS.index(word) for word in program.days.split() if word in WEEKDAYS}
    weekdays = (first.weekday() + np.arange(count)) % 7
    return np.isin(weekdays, list(allowed))


def waterings(programs: Sequence[Program], *, first: date, count: int) -> Ints:
    """Return the starts credited to each balance day, shape (days, programs), skips not yet taken off.

    Versions of one program replace each other by their ``effective`` date.
    """
    landed = np.zeros((count, len(programs)), dtype=np.intp)
    until = _replaced_on(programs)
    cache: dict[str, Bools] = {}
    for column, program in enumerate(programs):
        if program.days not in cache:
            cache[program.days] = watering_days(program, first=first - timedelta(days=1), count=count + 1)
        waters = cache[program.days]
        hours = [start.hour for start in program.start_times()]
        evening = sum(hour >= 12 for hour in hours)
        landed[:, column] = evening * waters[:-1] + (len(hours) - evening) * waters[1:]
        nights = _night_numbers(first, count)
        runs = nights >= program.effective.toordinal()
        end = until[column]
        if end is not None:
            runs &= nights < end
        landed[~runs, column] = 0
    return landed


def starts_a_week(programs: Sequence[Program], *, first: date) -> Floats:
    """Return how often each program starts in an average week, as if it went on for a year from a date.

    Skips aren't taken off, and neither an end nor another version is looked at.
    """
    days = [watering_days(one, first=first, count=7 * WEEKS).sum() * len(one.starts) for one in programs]
    return np.array(days, dtype=np.float64) / WEEKS


def percents_in_force(
    programs: Sequence[Program], settings: Sequence[tuple[int, date, int]], *, first: date, count: int
) -> NDArray[np.int64]:
    """Return the percent behind each balance day's water, shape (days, programs); 100 where none was set."""
    column = {program.pk: n for n, program in enumerate(programs)}
    percents = np.full((count, len(programs)), 100, dtype=np.int64)
    for program_id, start, percent in settings:  # ordered by date: a later one overwrites
        if program_id in column:
            row = max((start - (first - timedelta(days=1))).days, 0)
            percents[row:, column[program_id]] = percent
    return percents


def skipped(
    programs: Sequence[Program], skips: Sequence[tuple[int, date, date]], *, first: date, count: int
) -> Bools:
    """Tell which balance days get no water because their night is skipped, shape (days, programs)."""
    column = {program.pk: n for n, program in enumerate(programs)}
    off = np.zeros((count, len(programs)), dtype=bool)
    before = first - timedelta(days=1)
    for program_id, start, end in skips:
        if program_id in column:
            rows = slice(max((start - before).days, 0), max((end - before).days + 1, 0))
            off[rows, column[program_id]] = True
    return off


def _replaced_on(programs: Sequence[Program]) -> list[int | None]:
    """Return the night number from which each version no longer runs."""
    newer: dict[tuple[int, str], int] = {}
    until: list[int | None] = [None] * len(programs)
    for column in sorted(range(len(programs)), key=lambda n: programs[n].effective, reverse=True):
        program = programs[column]
        ends = [n for n in (newer.get((program.controller_id, program.letter)),) if n is not None]
        if program.ended is not None:
            ends.append(program.ended.toordinal())
        until[column] = min(ends) if ends else None
        newer[program.controller_id, program.letter] = program.effective.toordinal()
    return until


def runs_on(programs: Sequence[Program], *, night: date) -> Bools:
    """Tell which versions run in a night."""
    number = night.toordinal()
    return np.array(
        [
            program.effective.toordinal() <= number and (end is None or number < end)
            for program, end in zip(programs, _replaced_on(programs), strict=True)
        ],
        dtype=bool,
    )


def _night_numbers(first: date, count: int) -> Ints:
    return first.toordinal() - 1 + np.arange(count)
