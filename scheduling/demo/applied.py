"""What the demo's programs have sent through a site's pipes: by day, and by the hour of each run.

The years before the take-over are invented from the settings that were found: a share of them for each month,
as somebody sets a controller a few times a year.
"""

from copy import copy
from dataclasses import dataclass
from datetime import date, time, timedelta

import numpy as np
from numpy.typing import NDArray

from fleet.models import Site
from scheduling.models import Program, Setting, Skip, ZoneRun
from scheduling.season.nights import percents_in_force, skipped, waterings

Floats = NDArray[np.float64]

# Of the percent found in summer, January to December. Invented.
MONTHLY_HABIT = (0.04, 0.06, 0.2, 0.5, 0.85, 1.0, 1.0, 0.95, 0.8, 0.5, 0.12, 0.04)


@dataclass(frozen=True)
class Pipes:
    """The programs of a site: litres of each for one start at 100 percent, and when each waters."""

    programs: list[Program]
    litres: Floats  # (programs,)
    first: date
    counts: NDArray[np.intp]  # (days, programs) starts credited to each day
    shares: Floats  # (days, programs) of the minutes at 100 percent

    @property
    def daily_l(self) -> Floats:
        """Return the litres of each day, (days,). [L]"""
        return np.asarray((self.counts * self.shares) @ self.litres)


def pipes_of(site: Site, *, first: date, last: date) -> Pipes:
    """Return what a site's programs did from ``first`` to ``last``, both included."""
    programs = list(Program.objects.filter(controller__site=site).order_by("pk"))
    count = (last - first).days + 1
    settings = list(
        Setting.objects.filter(program__in=programs)
        .order_by("effective_from")
        .values_list("program", "effective_from", "percent")
    )
    skips = list(
        Skip.objects.filter(program__in=programs).values_list("program", "effective_from", "effective_to")
    )
    always = [copy(program) for program in programs]
    for program in always:
        program.effective = first - timedelta(days=2)
    percents = percents_in_force(programs, settings, first=first, count=count) / 100.0
    _as_found(percents, programs, settings, first=first)
    counts = waterings(always, first=first, count=count)
    counts[skipped(programs, skips, first=first, count=count)] = 0
    return Pipes(programs, np.array([_litres(p) for p in programs]), first, counts, percents)


def hourly_l(pipes: Pipes, day: date) -> Floats:
    """Return the litres of each hour of a day on the clock, (24,); runs follow one another. [L]"""
    hours = np.zeros(24)
    for n, program in enumerate(pipes.programs):
        for start in program.start_times():
            credited = day + timedelta(days=1) if start >= time(12) else day
            row = (credited - pipes.first).days
            if not 0 <= row < len(pipes.counts) or not pipes.counts[row, n]:
                continue
            _run(hours, program, start, share=float(pipes.shares[row, n]))
    return hours


def _run(hours: Floats, program: Program, start: time, *, share: float) -> None:
    at = start.hour * 60.0 + start.minute
    for run in program.runs.all():
        left, flow = run.minutes * share, _flow(run)
        while left > 1e-9:
            part = min(left, 60.0 - at % 60.0)
            hours[int(at // 60) % 24] += part * flow
            at, left = at + part, left - part


def _as_found(
    percents: Floats, programs: list[Program], settings: list[tuple[int, date, int]], *, first: date
) -> None:
    """Put the habit of the years before over the days before each program was taken over."""
    found: dict[int, float] = {}
    for pk, _, percent in settings:
        found.setdefault(pk, percent / 100.0)
    months = [(first + timedelta(days=n)).month for n in range(len(percents))]
    habit = np.array([MONTHLY_HABIT[month - 1] for month in months])
    for column, program in enumerate(programs):
        before = (program.effective - first).days
        percents[: max(before, 0), column] = habit[: max(before, 0)] * found.get(program.pk, 1.0)


def _litres(program: Program) -> float:
    return sum(run.minutes * _flow(run) for run in program.runs.all())


def _flow(run: ZoneRun) -> float:
    """Return the flow of a run's zone: from the survey, else from rate and area, else nothing. [L/min]"""
    zone = run.zone
    if zone.precipitation_rate_mm_h and zone.area_m2:
        return zone.precipitation_rate_mm_h * zone.area_m2 / 60.0
    return zone.flow_l_min or 0.0
