"""The programs controllers hold, started and ordered otherwise: over sooner, before six, within the flow."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise

from django.db.models import Q

from fleet.models import Controller
from scheduling.models import Program, ZoneRun
from scheduling.numerics.run_times import minutes_at
from scheduling.numerics.timeline import Run
from scheduling.numerics.zone_order import best_order
from scheduling.selectors.arrange import Room, Wish, place_all
from scheduling.selectors.beside import Beside, nights_unlike
from scheduling.selectors.held import held_by
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.simulate import Box, Entry, Night, flow_of, simulate

HALF_A_DAY = 720


@dataclass(frozen=True)
class Proposed:
    """One program: the starts and runs it has, and those proposed."""

    program: Program
    starts: Sequence[str]
    runs: Sequence[ZoneRun]


@dataclass(frozen=True)
class Arrangement:
    """Controllers on one source: their worst night as they are, and as proposed."""

    boxes: Sequence[Box]
    proposed: Sequence[Proposed]
    now: Night | None
    then: Night | None


def arrange(boxes: Sequence[Box], *, clock: NightClock, supply_l_min: float | None) -> Arrangement:
    """Propose starts and orders for the programs of controllers that share a source.

    Minutes, longest cycles, soaks, watering days and how often a program starts stay as they are; so do the
    controllers' percents. Two starts of a program never come closer than they are now. The longest night
    chooses first, the others around it. Where the proposal would be worse than what is there, that is kept.

    Parameters
    ----------
    boxes
        The controllers, each with the programs it holds.
    clock
        The first night.
    supply_l_min
        Flow of their source, None where nobody knows it. [L/min]
    """
    now = _worst(boxes, clock, supply_l_min)
    arranged: list[Box] = []
    for box in sorted(boxes, key=lambda box: -sum(_length(entry) for entry in box.entries)):
        arranged.append(_arranged(box, arranged, clock, supply_l_min))
    then = _worst(arranged, clock, supply_l_min)
    if now is not None and then is not None and _badness(then) > _badness(now):
        arranged, then = list(boxes), now
    by_controller = {box.controller.pk: box for box in arranged}
    found = [
        Proposed(entry.program, entry.program.starts, entry.runs)
        for box in boxes
        for entry in by_controller[box.controller.pk].entries
    ]
    return Arrangement(boxes, found, now, then)


def arrangement_of(controller: Controller, *, night: date) -> Arrangement:
    """Return the arrangement of a controller and of those on its source, in a fixed number of queries."""
    sharing = Q(pk=controller.pk)
    if controller.source_id is not None:
        sharing |= Q(source=controller.source_id)
    controllers = list(
        Controller.objects.filter(sharing)
        .exclude(site__season="closed")
        .select_related("site__watering_rule", "source")
        .order_by("pk")
    )
    held = held_by(controllers, first=night, last=night)
    return arrange(
        [held.box(one, night) for one in controllers],
        clock=NightClock(night, controller.site.timezone),
        supply_l_min=controller.source.flow_l_min if controller.source is not None else None,
    )


def _arranged(box: Box, before: Sequence[Box], clock: NightClock, supply: float | None) -> Box:
    ordered = [_ordered(entry, box.controller, supply) for entry in box.entries]
    placed = [n for n, entry in enumerate(ordered) if entry.program.starts and _length(entry)]
    room = Room.of(
        box.rule,
        clock,
        beside=Beside(before, clock),
        supply_l_min=supply,
        at_once=box.controller.zones_at_once,
    )
    starts = place_all([_wish(ordered[n], box.controller) for n in placed], room)
    for n, own in zip(placed, starts, strict=True):
        if len(own) == len(ordered[n].program.starts):
            ordered[n] = replace(ordered[n], program=_started(ordered[n].program, own))
    return replace(box, entries=ordered)


def _ordered(entry: Entry, controller: Controller, supply: float | None) -> Entry:
    order = best_order(
        _runs(entry, controller),
        at_once=controller.zones_at_once,
        flows=[flow_of(run.zone) or 0.0 for run in entry.runs],
        supply=supply or float("inf"),
    )
    return replace(entry, runs=[entry.runs[n] for n in order])


def _wish(entry: Entry, controller: Controller) -> Wish:
    starts = sorted((60 * int(at[:2]) + int(at[3:]) - HALF_A_DAY) % 1440 for at in entry.program.starts)
    gaps = [later - earlier for earlier, later in pairwise(starts)]
    return Wish(
        days=entry.program.days,
        runs=_runs(entry, controller),
        flows=[flow_of(run.zone) or 0.0 for run in entry.runs],
        starts=len(starts),
        apart=float(min(gaps, default=0)),
    )


def _runs(entry: Entry, controller: Controller) -> list[Run]:
    minutes = minutes_at([entry.percent / 100], [run.minutes for run in entry.runs], controller.minute_step)
    return [
        Run(float(m), run.cycle or float("inf"), run.soak or 0.0)
        for m, run in zip(minutes[0], entry.runs, strict=True)
    ]


def _started(program: Program, starts: Sequence[str]) -> Program:
    """Return a program with other starts, not to be saved."""
    return Program(
        pk=program.pk,
        controller=program.controller,
        letter=program.letter,
        name=program.name,
        days=program.days,
        starts=list(starts),
        effective=program.effective,
        ended=program.ended,
    )


def _length(entry: Entry) -> float:
    return entry.percent * sum(run.minutes for run in entry.runs)


def _worst(boxes: Sequence[Box], clock: NightClock, supply: float | None) -> Night | None:
    nights = nights_unlike(boxes, clock)
    judged = [simulate(boxes, clock=night, supply_l_min=supply) for night in nights]
    return max(judged, key=_badness, default=None)


def _badness(night: Night) -> tuple[int, float, float]:
    over = sum(limit.minutes for limit in night.limits)
    begin = min((event.start for event in night.events), default=night.clock.begins)
    length = ((night.ends or begin) - begin).total_seconds()
    return len(night.limits), over, length
