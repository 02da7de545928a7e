"""What controllers do in one night: every valve, cycle and soak, and whether the night holds it all."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta

from fleet.models import Controller, WateringRule, Zone, ZoneEpisode
from fleet.selectors.site_rule import day_allowed, exempt, hours_of
from scheduling.models import Program, ZoneRun
from scheduling.numerics.run_times import minutes_at
from scheduling.numerics.timeline import Run, Start, peak_flow, whole_night
from scheduling.selectors.hours import Span, outside_of, spans_in
from scheduling.selectors.night_clock import NightClock

DAYS, HOURS, MINUTES, NOON, FLOW = "days", "hours", "minutes", "noon", "flow"


@dataclass(frozen=True)
class Entry:
    """A program as a controller holds it in a night, saved or not; its runs in their order."""

    program: Program
    runs: Sequence[ZoneRun]
    percent: int = 100
    skipped: bool = False


@dataclass(frozen=True)
class Box:
    """A controller, the programs it holds in a night, and when its site may be watered.

    ``rule`` is the one that holds there in that night, told for its address; ``permits`` are those for new
    plantings, by zone.
    """

    controller: Controller
    entries: Sequence[Entry]
    rule: WateringRule | None = None
    permits: Mapping[int, ZoneEpisode] = field(default_factory=dict)

    def day_allowed(self, zone: Zone, day: date) -> bool:
        """Tell whether the rule lets a zone be watered on a date."""
        return exempt(self.rule, zone) or zone.pk in self.permits or day_allowed(self.rule, day)

    def spans(self, zone: Zone, clock: NightClock) -> Sequence[Span]:
        """Return the spans of a night in which a zone may be watered, in minutes after noon."""
        hours = () if exempt(self.rule, zone) else hours_of(self.rule, self.permits.get(zone.pk))
        return spans_in(hours, clock.night, clock.timezone)


@dataclass(frozen=True)
class Event:
    """One valve open once."""

    controller: Controller
    program: Program
    zone: Zone
    cycle: int
    start: datetime
    end: datetime
    flow_l_min: float | None


@dataclass(frozen=True)
class Limit:
    """Something a night passes: which, since when, by how much, and at which controller if it is one's."""

    binding: str
    at: datetime
    controller: Controller | None = None
    minutes: float = 0.0
    flow_l_min: float = 0.0


@dataclass(frozen=True)
class Night:
    """A night of some controllers.

    ``limits`` are what it passes, the worst first: watering on a day the rule forbids, outside its hours,
    a zone for longer than it lets, into the next noon, more flow than the source gives.
    """

    clock: NightClock
    events: list[Event]
    limits: list[Limit]
    peak_l_min: float = 0.0
    flow_unknown: list[Zone] = field(default_factory=list)
    jumped_over: list[tuple[Program, time]] = field(default_factory=list)
    shown_twice: list[tuple[Program, time]] = field(default_factory=list)

    @property
    def fits(self) -> bool:
        """Tell whether it passes nothing."""
        return not self.limits

    @property
    def binding(self) -> str | None:
        """Return what it passes, the worst, or None."""
        return self.limits[0].binding if self.limits else None

    @property
    def ends(self) -> datetime | None:
        """Return when the last valve shuts."""
        return max((event.end for event in self.events), default=None)

    def of(self, controller: Controller) -> "Night":
        """Return one controller's part of it: events, notes, what it passes itself or with the others."""
        events = [event for event in self.events if event.controller == controller]
        own = (None, controller) if events else (controller,)
        return replace(
            self,
            events=events,
            limits=[one for one in self.limits if one.controller in own],
            flow_unknown=[zone for zone in self.flow_unknown if zone.controller_id == controller.pk],
            jumped_over=[one for one in self.jumped_over if one[0].controller_id == controller.pk],
            shown_twice=[one for one in self.shown_twice if one[0].controller_id == controller.pk],
        )


def simulate(
    boxes: Sequence[Box], *, clock: NightClock, supply_l_min: float | None, beside: Sequence[Event] = ()
) -> Night:
    """Return what the controllers on one water source do in a night.

    Parameters
    ----------
    boxes
        The controllers, each with the programs of that night.
    clock
        The night.
    supply_l_min
        Flow of their water source, None where nobody knows it. [L/min]
    beside
        What other controllers on the source open in that night: it counts for the flow alone.
    """
    asked = [(box, _asked(box, clock)) for box in boxes]
    starts = [one for _, own in asked for one in own]
    opened = [(box, list(_events(box, own, clock))) for box, own in asked]
    events = sorted((event for _, own in opened for event in own), key=lambda event: event.start)
    peak, peak_at = peak_flow(
        (clock.minute_of(e.start), clock.minute_of(e.end), e.flow_l_min or 0.0) for e in [*events, *beside]
    )
    limits = [
        limit
        for (box, own), (_, events_of_it) in zip(asked, opened, strict=True)
        for limit in _wrong_days(box, own, events_of_it)
    ]
    limits += [limit for box, own in opened for limit in _outside(box, own, clock)]
    limits += [limit for box, own in asked for limit in _too_long(box, own)]
    limits += [limit for box, own in opened for limit in _too_late(box, own, clock)]
    if supply_l_min and peak > supply_l_min * (1 + 1e-9):
        limits.append(Limit(FLOW, clock.moment(peak_at), flow_l_min=peak))
    return Night(
        clock=clock,
        events=events,
        limits=limits,
        peak_l_min=peak,
        flow_unknown=list({e.zone.pk: e.zone for e in events if e.flow_l_min is None}.values()),
        jumped_over=[(one.entry.program, one.at) for one in starts if clock.jumped_over(one.at)],
        shown_twice=[(one.entry.program, one.at) for one in starts if clock.shown_twice(one.at)],
    )


@dataclass(frozen=True)
class _Asked:
    """A start a controller will begin in a night, if not on the minute then once it is free."""

    entry: Entry
    at: time
    moment: datetime
    runs: list[Run]


def _asked(box: Box, clock: NightClock) -> list[_Asked]:
    asked = []
    for entry in sorted(box.entries, key=lambda entry: entry.program.letter):
        runs = _runs(entry, box.controller)
        if entry.skipped or not any(run.minutes for run in runs):
            continue
        asked += [
            _Asked(entry, at, clock.start(at), runs)
            for at in entry.program.start_times()
            if entry.program.waters_on(clock.day_of(at))
        ]
    return asked


def _events(box: Box, asked: Sequence[_Asked], clock: NightClock) -> Iterator[Event]:
    starts = [Start(clock.minute_of(one.moment), one.runs) for one in asked]
    night = whole_night(starts, at_once=box.controller.zones_at_once)
    for one, openings in zip(asked, night, strict=True):
        for opening in openings:
            zone = one.entry.runs[opening.run].zone
            yield Event(
                controller=box.controller,
                program=one.entry.program,
                zone=zone,
                cycle=opening.cycle,
                start=clock.moment(opening.start),
                end=clock.moment(opening.end),
                flow_l_min=flow_of(zone),
            )


def flow_of(zone: Zone) -> float | None:
    """Return a zone's flow, from rate and area where none is given. [L/min]"""
    if zone.flow_l_min:
        return zone.flow_l_min
    if zone.precipitation_rate_mm_h and zone.area_m2:
        return zone.precipitation_rate_mm_h * zone.area_m2 / 60.0
    return None


def _runs(entry: Entry, controller: Controller) -> list[Run]:
    minutes = minutes_at([entry.percent / 100.0], [run.minutes for run in entry.runs], controller.minute_step)
    return [
        Run(float(m), run.cycle or float("inf"), run.soak or 0.0)
        for m, run in zip(minutes[0], entry.runs, strict=True)
    ]


def _wrong_days(box: Box, starts: Sequence[_Asked], events: Sequence[Event]) -> list[Limit]:
    """Say when a controller first waters on a day the rule forbids: begun then, or run on past midnight."""
    wrong = [
        one.moment
        for one in starts
        if any(
            run.minutes and not box.day_allowed(entered.zone, one.moment.date())
            for run, entered in zip(one.runs, one.entry.runs, strict=True)
        )
    ]
    for event in events:
        last = (event.end - timedelta(seconds=1)).date()
        if not box.day_allowed(event.zone, last):
            midnight = datetime.combine(last, time(), tzinfo=event.end.tzinfo)
            wrong.append(max(event.start, midnight))
    return [Limit(DAYS, min(wrong), box.controller)] if wrong else []


def outside_parts(box: Box, events: Sequence[Event], clock: NightClock) -> list[tuple[Event, Span]]:
    """Return what a controller's own valves are open outside their zones' hours, until the night's noon."""
    parts, ends = [], clock.minutes
    for event in events:
        span = clock.minute_of(event.start), min(clock.minute_of(event.end), ends)
        parts += [(event, part) for part in outside_of(span, box.spans(event.zone, clock))]
    return parts


def _outside(box: Box, events: Sequence[Event], clock: NightClock) -> list[Limit]:
    """Say since when a controller waters outside the hours, and for how many minutes of the night."""
    outside = [part for _, part in outside_parts(box, events, clock)]
    if not outside:
        return []
    return [Limit(HOURS, clock.moment(min(outside)[0]), box.controller, minutes=_union(outside))]


def zone_minutes(box: Box, clock: NightClock) -> dict[tuple[date, int], float]:
    """Return how long each zone the rule limits waters on the dates of a night's starts, by date and number.

    All starts of a date count, also those of the night before or after: as long as in this one.
    """
    return _zone_minutes(box, _asked(box, clock))


def _zone_minutes(box: Box, asked: Sequence[_Asked]) -> dict[tuple[date, int], float]:
    total: dict[tuple[date, int], float] = {}
    for day in {one.moment.date() for one in asked}:
        due = {one.entry.program.letter: one for one in asked if one.entry.program.waters_on(day)}
        for one in due.values():
            times = len(one.entry.program.start_times())
            for run, entered in zip(one.runs, one.entry.runs, strict=True):
                if run.minutes and not exempt(box.rule, entered.zone):
                    key = day, entered.zone.number
                    total[key] = total.get(key, 0.0) + run.minutes * times
    return total


def _too_long(box: Box, asked: Sequence[_Asked]) -> list[Limit]:
    most = box.rule.zone_minutes if box.rule is not None else None
    if most is None:
        return []
    took = _zone_minutes(box, asked)
    over = {key: minutes - most for key, minutes in took.items() if minutes > most + 1e-6}
    if not over:
        return []
    day = min(day for day, _ in over)
    at = min(one.moment for one in asked if one.moment.date() == day)
    return [Limit(MINUTES, at, box.controller, minutes=max(over.values()))]


def _too_late(box: Box, events: Sequence[Event], clock: NightClock) -> list[Limit]:
    over = max((clock.minute_of(event.end) for event in events), default=0.0) - clock.minutes
    return [Limit(NOON, clock.ends, box.controller, minutes=over)] if over > 1e-6 else []


def _union(spans: Sequence[Span]) -> float:
    total, until = 0.0, float("-inf")
    for begin, end in sorted(spans):
        total += max(0.0, end - max(begin, until))
        until = max(until, end)
    return total
