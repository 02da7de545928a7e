"""What sites will water in the coming nights, from what was entered and applied, not what is proposed."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from common import clock
from fleet.models import Controller, Site
from scheduling.models import Program, Setting, Skip, ZoneRun
from scheduling.selectors.last_call import night_starts, running
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.simulate import Box, Entry, simulate

NIGHTS = 7


@dataclass(frozen=True)
class ProgramNight:
    """One program in one night: when and how long it waters, or why it doesn't."""

    program: Program
    percent: int
    start: datetime | None
    end: datetime | None
    minutes: float
    skipped: str = ""


@dataclass(frozen=True)
class SiteNight:
    """One night of a site with the programs due in it; none of them means that it rests."""

    night: date
    programs: list[ProgramNight]

    @property
    def start(self) -> datetime | None:
        """Return when the first valve opens."""
        return min((p.start for p in self.programs if p.start), default=None)

    @property
    def end(self) -> datetime | None:
        """Return when the last valve shuts."""
        return max((p.end for p in self.programs if p.end), default=None)


@dataclass(frozen=True)
class _Rows:
    """What the controllers of the sites hold."""

    controllers: dict[int, list[Controller]]
    programs: dict[int, list[Program]]
    settings: dict[int, list[tuple[date, int]]]
    skips: dict[int, list[tuple[date, date, str]]]
    runs: dict[int, list[ZoneRun]]


def coming_week(sites: Sequence[Site], *, nights: int = NIGHTS) -> dict[int, list[SiteNight]]:
    """Return the coming nights of each site, from tonight on in its own time; five queries for all."""
    rows = _load(sites, nights=nights)
    return {site.pk: [_site_night(site, rows, night) for night in _nights(site, nights)] for site in sites}


def _nights(site: Site, count: int) -> list[date]:
    on = clock.today(site.timezone)
    return [on + timedelta(days=n) for n in range(count)]


def _load(sites: Sequence[Site], *, nights: int) -> _Rows:
    open_sites = [site.pk for site in sites if site.season != Site.Season.CLOSED]
    days = [day for site in sites for day in _nights(site, nights)]
    controllers: dict[int, list[Controller]] = defaultdict(list)
    programs: dict[int, list[Program]] = defaultdict(list)
    settings: dict[int, list[tuple[date, int]]] = defaultdict(list)
    skips: dict[int, list[tuple[date, date, str]]] = defaultdict(list)
    runs: dict[int, list[ZoneRun]] = defaultdict(list)
    for controller in Controller.objects.filter(site__in=open_sites).order_by("name", "pk"):
        controllers[controller.site_id].append(controller)
    held_here = Program.objects.filter(controller__site__in=open_sites).select_related("controller")
    for program in held_here.order_by("letter", "effective"):
        programs[program.controller_id].append(program)
    ids = [program.pk for own in programs.values() for program in own]
    held = Setting.objects.filter(program__in=ids).order_by("effective_from")
    for pk, since, percent in held.values_list("program_id", "effective_from", "percent"):
        settings[pk].append((since, percent))
    off = Skip.objects.filter(
        program__in=ids,
        effective_to__gte=min(days, default=date.min),
        effective_from__lte=max(days, default=date.max),
    )
    for pk, first, last, reason in off.values_list("program_id", "effective_from", "effective_to", "reason"):
        skips[pk].append((first, last, reason))
    for run in ZoneRun.objects.filter(program__in=ids).select_related("zone").order_by("order", "pk"):
        runs[run.program_id].append(run)
    return _Rows(controllers, programs, settings, skips, runs)


def _site_night(site: Site, rows: _Rows, night: date) -> SiteNight:
    parts = [_controller_night(site, box, rows, night) for box in rows.controllers.get(site.pk, [])]
    programs = [program for part in parts for program in part]
    return SiteNight(night, sorted(programs, key=_order))


def _controller_night(site: Site, controller: Controller, rows: _Rows, night: date) -> list[ProgramNight]:
    due = [p for p in running(rows.programs[controller.pk], night=night) if night_starts(p, night=night)]
    reasons = {p.pk: _skipped(rows, p, night) for p in due}
    entries = [
        Entry(p, rows.runs[p.pk], percent=_percent(rows, p, night), skipped=reasons[p.pk] is not None)
        for p in due
    ]
    events = simulate(
        [Box(controller, entries)], clock=NightClock(night, site.timezone), supply_l_min=None
    ).events
    told = []
    for entry in entries:
        own = [event for event in events if event.program.pk == entry.program.pk]
        reason = reasons[entry.program.pk]
        if not own and reason is None:
            continue  # holds no minutes
        told.append(
            ProgramNight(
                program=entry.program,
                percent=entry.percent,
                start=min((event.start for event in own), default=None),
                end=max((event.end for event in own), default=None),
                minutes=sum((event.end - event.start) / timedelta(minutes=1) for event in own),
                skipped=reason or "",
            )
        )
    return told


def _percent(rows: _Rows, program: Program, night: date) -> int:
    return next((q for since, q in reversed(rows.settings[program.pk]) if since <= night), 100)


def _skipped(rows: _Rows, program: Program, night: date) -> str | None:
    return next((why for first, last, why in rows.skips[program.pk] if first <= night <= last), None)


def _order(one: ProgramNight) -> tuple[bool, float, str]:
    """Sort by start; what is skipped comes last."""
    return one.start is None, one.start.timestamp() if one.start else 0.0, one.program.letter
