"""A percent for every month, for a controller that is seldom visited: what would last if the month did."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fleet.models import Controller, Zone
from fleet.selectors.policies import PolicyInForce
from scheduling.models import Program
from scheduling.numerics.lasting_stress import lasting_stress
from scheduling.numerics.percent_search import MARGIN, TOLERANCE
from scheduling.season.away import zones_away
from scheduling.season.field import Field
from scheduling.season.nights import waterings
from scheduling.selectors.held import held_by
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.season_load import load_season
from scheduling.selectors.simulate import Box, simulate
from weather.models import MonthlyNormal

MONTHS = range(12)
YEAR_DAYS = 364  # whole weeks
DRY = 0.05  # mean stress above which the card says that the days don't do

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True)
class MonthPercent:
    """What one month asks for.

    ``shortened`` says that the night is too short for more; ``dry_zone`` is a zone the watering days can't
    keep from drying out whatever the percent.
    """

    percent: int
    shortened: bool = False
    dry_zone: Zone | None = None


@dataclass(frozen=True)
class YearGroup:
    """The programs one percent serves, and their twelve months from January on."""

    programs: list[Program]
    months: list[MonthPercent]
    left_out: list[Zone]


@dataclass(frozen=True)
class YearCard:
    """The twelve months of a controller; ``groups`` is empty where ``lacks`` says what isn't known."""

    controller: Controller
    groups: list[YearGroup]
    et_mm_day: list[float]
    lacks: str = ""


def year_card(controller: Controller, *, on: date) -> YearCard:
    """Return the percents of a controller for each month, from usual ET and without rain.

    Parameters
    ----------
    controller
        With its site, and the site's client, rule and cell.
    on
        Day the programs of the coming night are taken from.
    """
    site = controller.site
    usual = dict(
        MonthlyNormal.objects.filter(cell=site.cell_id).values_list("month", "reference_et_mm")
        if site.cell_id is not None
        else ()
    )
    if len(usual) < len(MONTHS):
        return YearCard(controller, [], [], lacks="what the months usually bring here")
    et = [usual[month + 1] for month in MONTHS]
    loaded = load_season([site.pk], on=on, timezone=site.timezone)
    field, policy = loaded.field, loaded.policies[site.client_id]
    columns = field.columns_of_controller.get(controller.pk, [])
    if not columns:
        return YearCard(controller, [], et, lacks="a program")
    split = [columns] if controller.percent_scope == "controller" else [[column] for column in columns]
    search = _Search(field, columns, np.array(et), controller=controller, policy=policy)
    groups = [search.group(own) for own in split]
    return YearCard(controller, _shortened(controller, groups, on=on), et)


@dataclass(frozen=True)
class _Search:
    field: Field
    columns: list[int]
    et_mm_day: Floats  # (12,)
    controller: Controller
    policy: PolicyInForce

    def group(self, own: list[int]) -> YearGroup:
        """Return the months of the programs in some columns.

        A zone that another program of the controller waters too is given that water at the same percent:
        seldom visited, they are all set for the month at once.
        """
        field = self.field
        programs = [field.programs[column] for column in own]
        away = set(zones_away(field.rows.episodes, on=field.rows.on))
        entered = {run.zone_id for run in field.rows.runs if run.program_id in {p.pk for p in programs}}
        left_out = [
            z for z in field.rows.zones if z.pk in entered and (z.pk in away or z.pk in field.missing)
        ]
        zones = np.array(
            [field.index_of_zone[pk] for pk in sorted(entered - away) if pk in field.index_of_zone], np.intp
        )
        if not zones.size:
            return YearGroup(programs, [], left_out)
        percents = self._percents()
        stress = self._stress(percents, zones)  # (P, 12, zones)
        worst = stress.max(axis=2)
        least = worst.min(axis=0)
        chosen = np.argmax(worst <= least + TOLERANCE, axis=0)
        months = [
            MonthPercent(
                percent=int(percents[chosen[m]]),
                dry_zone=self._dry(stress[chosen[m], m], zones) if least[m] > DRY else None,
            )
            for m in MONTHS
        ]
        return YearGroup(programs, months, left_out)

    def _percents(self) -> NDArray[np.int64]:
        box = self.controller
        every = np.arange(0, box.percent_max + 1, box.percent_step, dtype=np.int64)
        inside = every[(every >= self.policy.percent_min) & (every <= self.policy.percent_max)]
        return inside if inside.size else every

    def _stress(self, percents: NDArray[np.int64], zones: Ints) -> Floats:
        """Return the lasting stress of every percent, month and zone; all months run side by side."""
        field, count = self.field, zones.size
        runs = np.flatnonzero(np.isin(field.zone_of_run, zones) & np.isin(field.program_of_run, self.columns))
        column_of = {column: n for n, column in enumerate(self.columns)}
        first = field.rows.on + timedelta(days=2)
        starts = waterings([field.programs[c] for c in self.columns], first=first, count=YEAR_DAYS)
        starts = starts[:, [column_of[int(c)] for c in field.program_of_run[runs]]]
        net = field.depths(percents.astype(np.float64), runs=runs).net_mm
        unit = np.searchsorted(zones, field.zone_of_run[runs])
        et = self.et_mm_day[:, np.newaxis] * field.survey.kl[:, zones] * field.trim_today[zones]
        stress = lasting_stress(
            net_mm=np.tile(net, 12),
            starts=np.tile(starts, 12),
            unit_of_run=(np.arange(12)[:, np.newaxis] * count + unit).ravel(),
            et_mm_day=et.ravel(),
            taw_mm=np.tile(field.survey.taw_mm[zones], 12),
            raw_mm=np.tile(field.survey.raw_mm[zones], 12),
            margin=MARGIN,
        )
        return stress.reshape(len(percents), 12, count)

    def _dry(self, stress: Floats, zones: Ints) -> Zone:
        return self.field.zones[zones[int(np.argmax(stress))]]


def _shortened(controller: Controller, groups: list[YearGroup], *, on: date) -> list[YearGroup]:
    """Lower the percents of every month whose fullest night passes its hours, all by the same most."""
    watered = [group for group in groups if group.months]
    if not watered:
        return groups
    held = held_by([controller], first=on, last=on)
    box = held.box(controller, on)
    nights = [on + timedelta(days=n) for n in range(28)]
    fullest = max(nights, key=lambda night: _starting(box, night))
    clock = NightClock(fullest, controller.site.timezone)
    now = {program.pk: group.months for group in watered for program in group.programs}
    most = {month: _most(box, clock, {pk: m[month].percent for pk, m in now.items()}) for month in MONTHS}
    return [
        replace(
            group,
            months=[
                one
                if one.percent <= most[m]
                else MonthPercent(most[m], shortened=True, dry_zone=one.dry_zone)
                for m, one in enumerate(group.months)
            ],
        )
        for group in groups
    ]


def _starting(box: Box, night: date) -> int:
    clock = NightClock(night, box.controller.site.timezone)
    return sum(
        entry.program.waters_on(clock.day_of(at))
        for entry in box.entries
        for at in entry.program.start_times()
    )


def _most(box: Box, clock: NightClock, percents: dict[int, int]) -> int:
    """Return the highest percent such that none above it lets the night fit; the present ones if it fits."""
    step = box.controller.percent_step
    most = max(percents.values())
    while most > step:
        entries = [
            replace(entry, percent=min(percents.get(entry.program.pk, entry.percent), most), skipped=False)
            for entry in box.entries
        ]
        night = simulate([replace(box, entries=entries)], clock=clock, supply_l_min=None)
        if not any(limit.binding in ("hours", "noon") for limit in night.limits):
            return most
        most -= step
    return most
