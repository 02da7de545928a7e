"""Live a season through: decided each morning, left at 100 percent, by monthly percents."""

from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fleet.numerics.ranges import Floats
from scheduling.numerics.replay.days import Lived, Weather, live_through
from scheduling.numerics.replay.foresight import Forecasts
from scheduling.numerics.replay.landscape import Landscape
from scheduling.numerics.replay.rules import Rules
from scheduling.numerics.replay.score import Score, days_to_water, score
from scheduling.numerics.units import Indices


@dataclass(frozen=True)
class Season:
    """What is lived through: ``starts`` whose water lands on each day, (days + horizon, programs);
    ``zones`` and ``programs`` how they are called, ``start_depletion_mm`` (zones,); ``zone_ids`` and
    ``program_ids`` their rows' ids, none where they are called by their names alone."""

    landscape: Landscape
    starts: NDArray[np.integer]
    weather: Weather
    first: date
    days: int
    start_depletion_mm: Floats
    zones: list[str]
    programs: list[str]
    zone_ids: list[int] = field(default_factory=list)
    program_ids: list[int] = field(default_factory=list)

    def zone_id(self, zone: int) -> int | str:
        """Return what a zone is known by outside."""
        return self.zone_ids[zone] if self.zone_ids else self.zones[zone]

    def program_id(self, program: int) -> int | str:
        """Return what a program is known by outside."""
        return self.program_ids[program] if self.program_ids else self.programs[program]

    def day(self, row: int) -> date:
        """Return the date of a row."""
        return self.first + timedelta(days=row)


@dataclass(frozen=True)
class Course:
    """One way the season went."""

    lived: Lived
    score: Score

    @property
    def worst(self) -> float:
        """Return the adequacy of the zone that fared worst. [-]"""
        return float(self.score.adequacy.min(initial=1.0))


@dataclass(frozen=True)
class Replayed:
    """The season decided each morning, and beside it left at 100 percent and by monthly percents."""

    season: Season
    forecasts: Forecasts
    first_percent: Indices
    decided: Course
    at_100: Course
    monthly: Course


def replayed(
    season: Season, *, rules: Rules, forecasts: Forecasts, first_percent: Indices | None = None
) -> Replayed:
    """Live a season through three times.

    Parameters
    ----------
    season : Season
        What is watered and which weather came.
    rules : Rules
        How to decide.
    forecasts : Forecasts
        What was foretold on each morning.
    first_percent : ndarray of int, shape (groups,), optional
        Row of the percents in force before the first decision; 100 % without it.
    """
    hundred = row_of(season.landscape, 1.0)
    begin = np.full(season.landscape.groups, hundred) if first_percent is None else first_percent
    by_month = monthly_rows(season)
    return Replayed(
        season=season,
        forecasts=forecasts,
        first_percent=begin,
        decided=_course(season, begin, rules=rules, forecasts=forecasts),
        at_100=_course(season, np.full(season.landscape.groups, hundred)),
        monthly=_course(season, by_month[0], fixed=by_month),
    )


def _course(
    season: Season,
    begin: Indices,
    *,
    rules: Rules | None = None,
    forecasts: Forecasts | None = None,
    fixed: Indices | None = None,
) -> Course:
    landscape = season.landscape
    lived = live_through(
        landscape,
        starts=season.starts,
        weather=season.weather,
        days=season.days,
        start_depletion_mm=season.start_depletion_mm,
        first_percent=begin,
        rules=rules,
        forecasts=forecasts,
        fixed=fixed,
    )
    may = days_to_water(landscape, season.starts, days=season.days)
    return Course(lived, score(landscape, lived, may_water=may, start_depletion_mm=season.start_depletion_mm))


def row_of(landscape: Landscape, percent: float) -> int:
    """Return the row of the candidate nearest to a percent (1.0 is 100 %)."""
    return int(np.argmin(np.abs(landscape.percents - percent)))


def monthly_rows(season: Season) -> Indices:
    """Return the row each group would hold by monthly percents, (days, groups).

    100 % in the month its plants need most, the other months in proportion to their mean reference ET times
    the mean landscape coefficient: common practice, no source. The means are those of the season itself,
    which nobody knew beforehand.
    """
    landscape, days = season.landscape, season.days
    month, et = season.weather.month[:days], season.weather.et_mm[:days]
    months = np.unique(month)
    rows = np.zeros((days, landscape.groups), dtype=np.intp)
    units = landscape.units
    for group in range(landscape.groups):
        zones = np.unique(units.zone[units.group == group])
        cell = landscape.ground.cell[zones[0]]
        need = np.array(
            [et[month == m, cell].mean() * landscape.ground.kl[m - 1, zones].mean() for m in months]
        )
        share = need / max(float(need.max()), 1e-9)
        held = np.array([row_of(landscape, percent) for percent in share])
        rows[:, group] = held[np.searchsorted(months, month)]
    return rows
