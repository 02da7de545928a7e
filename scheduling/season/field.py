"""The season of some sites as arrays: one place where rows become numbers."""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fleet.models import Site, SiteCorrection, Zone
from scheduling.models import Program
from scheduling.numerics.gross_to_net import Application
from scheduling.numerics.run_times import Depths, depths_at
from scheduling.numerics.season_balance import Marks
from scheduling.numerics.watering import Watering
from scheduling.season.nights import percents_in_force, runs_on, skipped, waterings
from scheduling.season.rows import Rows
from scheduling.season.sensors import suspended
from scheduling.season.sky import Sky
from scheduling.season.survey import Survey, missing_of, survey_arrays
from weather.season import WeatherWindow

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

RAIN_SHARE = 0.8  # of measured rain reaches the roots: test protocol of weather-based scheduling, net rain


@dataclass(frozen=True)
class Entered:
    """Every run as entered at the controllers, also those of zones whose survey is incomplete."""

    program: Ints
    minutes: Floats
    step: Floats
    cycle: Floats
    soak: Floats


@dataclass(frozen=True)
class Field:
    """Complete zones of some sites, their programs and weather, on one axis of balance days.

    ``days`` reach from the start of the oldest balance over ``on`` (row ``today``) to the end of the horizon.
    Zones with something missing are not here; ``missing`` names them. Runs are sorted by program.
    """

    rows: Rows
    sky: Sky
    days: list[date]
    today: int
    zones: list[Zone]
    site_of_zone: list[Site]
    missing: dict[int, list[str]]
    survey: Survey
    cell_of_zone: Ints
    programs: list[Program]
    program_runs: NDArray[np.bool_]  # (programs,) versions that run in the coming night
    zone_of_run: Ints
    program_of_run: Ints
    minutes: Floats
    minute_step: Floats
    cycle_min: Floats
    soak_min: Floats
    starts: Ints  # (days, programs), skips and sensors taken off
    planned: Ints  # (days, programs), as the programs say
    percents: NDArray[np.int64]  # (days, programs) behind each balance day's water
    rain_effective: Floats  # (days, cells)

    @property
    def weather(self) -> WeatherWindow:
        """Return the weather, days by cells."""
        return self.sky.window

    @cached_property
    def _columns(self) -> dict[int, int]:
        return self.sky.columns_of(self.rows.sites)

    def column_of(self, site: Site) -> int:
        """Return the place of a site's weather on the cells axis."""
        return self._columns[site.pk]

    @cached_property
    def index_of_zone(self) -> dict[int, int]:
        """Return each zone's place on the zones axis."""
        return {zone.pk: n for n, zone in enumerate(self.zones)}

    @cached_property
    def columns_of_controller(self) -> dict[int, list[int]]:
        """Return the programs of each controller that run in the coming night, by their place."""
        columns: dict[int, list[int]] = {}
        for column, program in enumerate(self.programs):
            if self.program_runs[column]:
                columns.setdefault(program.controller_id, []).append(column)
        return columns

    @cached_property
    def entered(self) -> Entered:
        """Return every run as entered, sorted by program and order."""
        column = {program.pk: n for n, program in enumerate(self.programs)}
        step = {c.pk: c.minute_step for c in self.rows.controllers}
        runs = self.rows.runs
        return Entered(
            program=np.array([column[run.program_id] for run in runs], dtype=np.intp),
            minutes=np.array([run.minutes for run in runs], dtype=np.float64),
            step=np.array(
                [step[self.programs[column[run.program_id]].controller_id] for run in runs], dtype=np.float64
            ),
            cycle=np.array([run.cycle or np.inf for run in runs], dtype=np.float64),
            soak=np.array([run.soak or 0.0 for run in runs], dtype=np.float64),
        )

    @cached_property
    def months(self) -> Ints:
        """Return the month of each day, 1 to 12."""
        return np.array([day.month for day in self.days], dtype=np.intp)

    @cached_property
    def application(self) -> Application:
        """Return how the water of each run comes down."""
        a = self.survey.application
        z = self.zone_of_run
        return Application(*(np.asarray(getattr(a, name))[z] for name in a.__slots__))

    @cached_property
    def trim_marks(self) -> Marks:
        """Return the trims as they come into force."""
        return self._marks([(z, d, f) for z, d, f in self.rows.trims], not_before_first=True)

    def marks_of_soil(self, *, dry: bool) -> tuple[Floats, Marks]:
        """Return the start of each zone and what resets it: the first day of its account, then observations.

        An observation of the morning of a day replaces the balance of the evening before.
        """
        start = self.survey.raw_mm.copy() if dry else np.zeros(len(self.zones))
        eve = timedelta(days=1)
        marks: list[tuple[int, date, float]] = []
        for zone, site, at_start in zip(self.zones, self.site_of_zone, start, strict=True):
            if site.balance_from is not None:
                marks.append((zone.pk, site.balance_from - eve, float(at_start)))
        for episode in self.rows.episodes:
            place = self.index_of_zone.get(episode.zone_id)
            if place is None or episode.effective_to is None or episode.effective_to >= self.rows.on:
                continue  # the morning after its last night nobody knows how wet the soil is
            marks.append((episode.zone_id, episode.effective_to, float(start[place])))
        for zone_id, seen, share in self.rows.observations:
            place = self.index_of_zone.get(zone_id)
            if place is None:
                continue
            if seen <= self.days[0]:
                start[place] = share * self.survey.taw_mm[place]
            else:
                marks.append((zone_id, seen - eve, share * float(self.survey.taw_mm[place])))
        return start, self._marks(marks)

    def depths(self, percents: Floats, *, runs: Ints | slice = slice(None)) -> Depths:
        """Return minutes, gross and net depth of one start of some runs at each percent (85 is 85 %)."""
        a = self.application
        return depths_at(
            np.asarray(percents, dtype=np.float64) / 100.0,
            self.minutes[runs],
            self.minute_step[runs],
            application=Application(*(np.asarray(getattr(a, name))[runs] for name in a.__slots__)),
            cycle_min=self.cycle_min[runs],
            soak_min=self.soak_min[runs],
        )

    def watering(self, *, last: int) -> Watering:
        """Return what was put on, on the days before row ``last``."""
        held = np.unique(self.percents[:last]) if last else np.array([100])
        return Watering(
            zone_of_run=self.zone_of_run,
            program_of_run=self.program_of_run,
            net_mm=self.depths(held.astype(np.float64)).net_mm,
            percent_index=np.searchsorted(held, self.percents[:last]),
            starts=self.starts[:last],
        )

    @cached_property
    def trim_today(self) -> Floats:
        """Return the trim in force today, one value a zone."""
        factors = np.ones(len(self.zones))
        for zone_id, _, factor in self.rows.trims:  # ordered by date
            if zone_id in self.index_of_zone:
                factors[self.index_of_zone[zone_id]] = factor
        return factors

    @cached_property
    def corrections_today(self) -> dict[int, SiteCorrection]:
        """Return the correction of reference ET in force today, by site, where it is one."""
        latest = {one.site_id: one for one in self.rows.corrections}  # ordered by date
        return {site: one for site, one in latest.items() if one.factor != 1.0}

    def own_trim(self, place: int) -> float:
        """Return the part of a zone's trim today that is its own, its site's correction taken out."""
        correction = self.corrections_today.get(self.site_of_zone[place].pk)
        return round(float(self.trim_today[place]) / (correction.factor if correction else 1.0), 9)

    def _marks(self, found: list[tuple[int, date, float]], *, not_before_first: bool = False) -> Marks:
        first, last = self.days[0], self.days[-1]
        kept = []
        for zone_id, day, value in found:
            place = self.index_of_zone.get(zone_id)
            day = max(day, first) if not_before_first else day
            if place is not None and first <= day <= last:
                kept.append(((day - first).days, place, value))
        kept.sort(key=lambda mark: mark[0])
        table = np.array(kept, dtype=np.float64).reshape(-1, 3)
        return Marks(day=table[:, 0].astype(np.intp), zone=table[:, 1].astype(np.intp), value=table[:, 2])


def build_field(rows: Rows, sky: Sky, *, boundaries: dict[int, float]) -> Field:
    """Turn rows and weather into arrays.

    Parameters
    ----------
    rows
        Rows of the sites.
    sky
        Weather from the start of the oldest balance to the end of the horizon, cells of the sites.
    boundaries
        By client: share of the extra water for uneven heads that is given, 0 to 1.
    """
    sites = {site.pk: site for site in rows.sites}
    site_of_controller = {c.pk: sites[c.site_id] for c in rows.controllers}
    missing = {zone.pk: lack for zone in rows.zones if (lack := missing_of(zone))}
    zones = [zone for zone in rows.zones if zone.pk not in missing]
    site_of_zone = [site_of_controller[zone.controller_id] for zone in zones]
    place = {zone.pk: n for n, zone in enumerate(zones)}
    column = {program.pk: n for n, program in enumerate(rows.programs)}
    runs = [run for run in rows.runs if run.zone_id in place]
    step = {c.pk: c.minute_step for c in rows.controllers}
    controller = {program.pk: program.controller_id for program in rows.programs}
    cell, days = sky.columns_of(rows.sites), sky.days
    first, count = days[0], len(days)
    planned = waterings(rows.programs, first=first, count=count)
    off = skipped(rows.programs, rows.skips, first=first, count=count)
    off |= suspended(rows, sky, site_of_controller=site_of_controller)
    return Field(
        rows=rows,
        sky=sky,
        days=days,
        today=(rows.on - first).days,
        zones=zones,
        site_of_zone=site_of_zone,
        missing=missing,
        survey=survey_arrays(
            zones,
            southern=[site.latitude < 0 for site in site_of_zone],
            boundary=[boundaries.get(site.client_id, 1.0) for site in site_of_zone],
        ),
        cell_of_zone=np.array([cell[site.pk] for site in site_of_zone], dtype=np.intp),
        programs=rows.programs,
        program_runs=runs_on(rows.programs, night=rows.on),
        zone_of_run=np.array([place[run.zone_id] for run in runs], dtype=np.intp),
        program_of_run=np.array([column[run.program_id] for run in runs], dtype=np.intp),
        minutes=np.array([run.minutes for run in runs], dtype=np.float64),
        minute_step=np.array([step[controller[run.program_id]] for run in runs], dtype=np.float64),
        cycle_min=np.array([run.cycle or np.inf for run in runs], dtype=np.float64),
        soak_min=np.array([run.soak or 0.0 for run in runs], dtype=np.float64),
        starts=np.where(off, 0, planned),
        planned=planned,
        percents=percents_in_force(rows.programs, rows.settings, first=first, count=count),
        rain_effective=RAIN_SHARE * sky.rain_expected_mm,
    )
