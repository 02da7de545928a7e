"""What controllers do in one night: every valve, cycle and soak, and whether the night holds it all."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, time

from fleet.models import Controller, WateringRule, Zone
from scheduling.models import Program, ZoneRun
from scheduling.numerics.run_times import minutes_at
from scheduling.numerics.timeline import Run, Start, peak_flow, whole_night
from scheduling.selectors.hours import Span, allowed_spans, day_allowed, outside_of
from scheduling.selectors.night_clock import NightClock

DAYS, HOURS, NOON, FLOW = "days", "hours", "noon", "flow"


@dataclass(frozen=True)
class Entry:
    """A program as a controller holds it in a night, saved or not; its runs in their order."""

    program: Program
    runs: Sequence[ZoneRun]
    percent: int = 100
    skipped: bool = False


@dataclass(frozen=True)
class Box:
    """A controller, the programs it holds in a night, and when its site may be watered."""

    controller: Controller
    entries: Sequence[Entry]
    rule: WateringRule | None = None


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
    into the next noon, more flow than the source gives.
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
        """Return one controller's part of it: its events, and what it passes itself or with the others."""
        events = [event for event in self.events if event.controller == controller]
        own = (None, controller) if events else (controller,)
        return replace(self, events=events, limits=[one for one in self.limits if one.controller in own])


def simulate(boxes: Sequence[Box], *, clock: NightClock, supply_l_min: float | None) -> Night:
    """Return what the controllers on one water source do in a night.

    Parameters
    ----------
    boxes
        The controllers, each with the programs of that night.
    clock
        The night.
    supply_l_min
        Flow of their water source, None where nobody knows it. [L/min]
    """
    asked = [(box, _asked(box, clock)) for box in boxes]
    starts = [one for _, own in asked for one in own]
    events = [event for box, own in asked for event in _events(box, own, clock)]
    events.sort(key=lambda event: event.start)
    peak, peak_at = peak_flow(
        (clock.minute_of(e.start), clock.minute_of(e.end), e.flow_l_min or 0.0) for e in events
    )
    limits = [limit for box, own in asked for limit in _wrong_days(box, own)]
    limits += [limit for box in boxes for limit in _outside(box, events, clock)]
    limits += [limit for box in boxes for limit in _too_late(box, events, clock)]
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


def _wrong_days(box: Box, starts: Sequence[_Asked]) -> list[Limit]:
    wrong = [one.moment for one in starts if not day_allowed(box.rule, one.moment.date())]
    return [Limit(DAYS, min(wrong), box.controller)] if wrong else []


def _outside(box: Box, events: Sequence[Event], clock: NightClock) -> list[Limit]:
    """Say since when a controller waters outside the hours, and for how many minutes of the night."""
    allowed = allowed_spans(box.rule, clock)
    spans = [(begin, min(end, clock.minutes)) for begin, end in _spans(box, events, clock)]
    outside = [part for span in spans for part in outside_of(span, allowed)]
    if not outside:
        return []
    return [Limit(HOURS, clock.moment(min(outside)[0]), box.controller, minutes=_union(outside))]


def _too_late(box: Box, events: Sequence[Event], clock: NightClock) -> list[Limit]:
    over = max((end for _, end in _spans(box, events, clock)), default=0.0) - clock.minutes
    return [Limit(NOON, clock.ends, box.controller, minutes=over)] if over > 1e-6 else []


def _spans(box: Box, events: Sequence[Event], clock: NightClock) -> list[Span]:
    own = (event for event in events if event.controller == box.controller)
    return [(clock.minute_of(event.start), clock.minute_of(event.end)) for event in own]


def _union(spans: Sequence[Span]) -> float:
    total, until = 0.0, float("-inf")
    for begin, end in sorted(spans):
        total += max(0.0, end - max(begin, until))
        until = max(until, end)
    return total
