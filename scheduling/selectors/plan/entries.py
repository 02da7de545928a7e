"""A plan's programs as rows that aren't stored, and its starts put into the night."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from fleet.models import Zone
from scheduling.models import Program, ZoneRun
from scheduling.numerics.timeline import Run
from scheduling.numerics.zone_order import best_order, minutes_of
from scheduling.selectors.arrange import Room, Wish, place_all
from scheduling.selectors.plan.asked import Asked, Overrides
from scheduling.selectors.plan.days import Pattern
from scheduling.selectors.plan.letters import Group, name_of
from scheduling.selectors.plan.minutes import Share, Shares
from scheduling.selectors.plan.need import Needs
from scheduling.selectors.simulate import Box, Entry


@dataclass(frozen=True)
class Draft:
    """A program to be, its runs in their order; ``takes`` one start of it [min]."""

    group: Group
    pattern: Pattern
    shares: Shares
    takes: float


def drafted(asked: Asked, needs: Needs, group: Group, pattern: Pattern, shares: Shares) -> Draft:
    """Put the zones of a program into the order that is over soonest."""
    runs = [_run(share) for share in shares.runs]
    at_once = asked.controller.zones_at_once
    order = best_order(
        runs,
        at_once=at_once,
        flows=[float(needs.flow_l_min[share.place]) for share in shares.runs],
        supply=asked.supply_l_min or float("inf"),
    )
    ordered = replace(shares, runs=[shares.runs[n] for n in order])
    return Draft(group, pattern, ordered, minutes_of(runs, order, at_once=at_once))


def box_of(asked: Asked, needs: Needs, drafts: Sequence[Draft], overrides: Overrides) -> Box:
    """Return the controller with the planned programs, none of it stored."""
    starts = _starts(asked, needs, drafts, overrides)
    entries = [
        _entry(asked, needs, draft, own) for draft, own in zip(drafts, starts, strict=True) if draft.group
    ]
    return Box(asked.controller, entries, rule=asked.rule)


def _starts(
    asked: Asked, needs: Needs, drafts: Sequence[Draft], overrides: Overrides
) -> list[tuple[str, ...]]:
    wishes = []
    for draft in drafts:
        said = overrides.programs.get(draft.group.letter)
        wishes.append(
            Wish(
                days=draft.pattern.days,
                runs=[_run(share) for share in draft.shares.runs],
                flows=[float(needs.flow_l_min[share.place]) for share in draft.shares.runs],
                starts=draft.shares.starts,
                apart=draft.shares.soak_apart,
                fixed=said.starts if said else None,
            )
        )
    room = Room.of(
        asked.rule,
        asked.clock,
        beside=asked.beside,
        supply_l_min=asked.supply_l_min,
        at_once=asked.controller.zones_at_once,
    )
    return place_all(wishes, room)


def _entry(asked: Asked, needs: Needs, draft: Draft, starts: Sequence[str]) -> Entry:
    program = Program(
        controller=asked.controller,
        letter=draft.group.letter,
        name=name_of(draft.group, needs),
        days=draft.pattern.days,
        starts=list(starts),
        effective=asked.clock.night,
    )
    zones: Mapping[int, Zone] = dict(enumerate(needs.zones))
    runs = [
        ZoneRun(
            program=program,
            zone=zones[share.place],
            minutes=share.minutes,
            cycle=share.cycle,
            soak=share.soak,
            order=number,
        )
        for number, share in enumerate(draft.shares.runs, start=1)
    ]
    return Entry(program, runs)


def _run(share: Share) -> Run:
    return Run(share.minutes, share.cycle or float("inf"), share.soak or 0.0)
