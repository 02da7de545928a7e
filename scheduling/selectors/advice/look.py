"""One site read once, as the computations of advice need it."""

from dataclasses import dataclass
from datetime import date
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fleet.models import Controller, Site, Zone
from scheduling.models import Program
from scheduling.season.away import zones_away
from scheduling.season.field import Field
from scheduling.season.nights import starts_a_week
from scheduling.selectors.season_load import Loaded, load_season
from weather.models import MonthlyNormal

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
WEEK = 7


@dataclass(frozen=True)
class Look:
    """A site's season for the computations of advice. Zones away, or without a survey, are in none."""

    site: Site
    on: date
    loaded: Loaded
    usual_et_mm_day: Floats | None  # (12,), None where it isn't known

    @property
    def field(self) -> Field:
        """Return the season's arrays."""
        return self.loaded.field

    @property
    def boundary(self) -> float:
        """Return the share of the extra water for uneven heads that is given. [-]"""
        return self.loaded.policies[self.site.client_id].uniformity_margin

    @cached_property
    def running(self) -> list[tuple[Program, Ints]]:
        """Return the programs of the coming night with the places of their runs, zones away left out."""
        field = self.field
        found = []
        for column in np.flatnonzero(field.program_runs):
            runs = np.flatnonzero(field.program_of_run == column)
            runs = runs[~np.isin(field.zone_of_run[runs], self._away)]
            found.append((field.programs[column], runs))
        return found

    @cached_property
    def _away(self) -> Ints:
        away = zones_away(self.field.rows.episodes, on=self.on)
        return np.array([n for n, zone in enumerate(self.field.zones) if zone.pk in away], dtype=np.intp)

    def controller_of(self, program: Program) -> Controller:
        """Return a program's controller, its site loaded."""
        found = next(c for c in self.field.rows.controllers if c.pk == program.controller_id)
        found.site = self.site
        return found

    def percent_of(self, program: Program) -> int:
        """Return the percent in force in the coming night."""
        return int(self.field.percents[self.field.today + 1, self.field.programs.index(program)])

    def starts_a_week(self, program: Program) -> float:
        """Return how often a program starts in an average week."""
        return float(starts_a_week([program], first=self.on)[0])

    def need_mm_week(self, zones: Ints) -> Floats:
        """Return what zones use up in the coming week, rain not taken off. [mm]"""
        field = self.field
        window = slice(field.today, field.today + WEEK)
        kl = field.survey.kl[field.months[window] - 1][:, zones] * field.trim_today[zones]
        return np.asarray(
            (field.weather.reference_et_mm[window][:, field.cell_of_zone[zones]] * kl).sum(axis=0)
        )

    def peak_mm_day(self, zones: Ints) -> Floats:
        """Return what zones use up on a day of their peak month; of the coming week where none is known."""
        if self.usual_et_mm_day is None:
            return self.need_mm_week(zones) / WEEK
        kl = self.field.survey.kl[:, zones] * self.field.trim_today[zones]
        return np.asarray((self.usual_et_mm_day[:, np.newaxis] * kl).max(axis=0))

    def gross_mm_week(self, program: Program, runs: Ints) -> Floats:
        """Return what leaves the heads of each run in a week at the percent in force. [mm]"""
        depths = self.field.depths(np.array([float(self.percent_of(program))]), runs=runs)
        return np.asarray(depths.gross_mm[0] * self.starts_a_week(program))

    def efficiency(self, zones: Ints) -> Floats:
        """Return the share of the water leaving the heads that zones can use, runoff aside. [-]"""
        a = self.field.survey.application
        return np.asarray(np.asarray(a.ground_share)[zones] * np.asarray(a.usable_share)[zones])

    def zone(self, place: int) -> Zone:
        """Return the zone at a place."""
        return self.field.zones[place]


def look_at(site: Site, *, on: date) -> Look | None:
    """Return a site's season, or None where it is closed or has no weather yet."""
    if site.cell_id is None or site.season == Site.Season.CLOSED:
        return None
    loaded = load_season([site.pk], on=on, timezone=site.timezone)
    usual = dict(MonthlyNormal.objects.filter(cell=site.cell_id).values_list("month", "reference_et_mm"))
    months = [usual.get(month) for month in range(1, 13)]
    known = np.array(months, dtype=np.float64) if None not in months else None
    return Look(site, on, loaded, known)
