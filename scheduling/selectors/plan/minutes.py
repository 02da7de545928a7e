"""Minutes, cycles, soaks and starts of the zones of one program."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, inf

from scheduling.numerics.base_schedule import minutes_for_depth
from scheduling.numerics.depth_over_gaps import depth_over_gaps
from scheduling.numerics.gross_to_net import shortest_soak_min
from scheduling.numerics.splitting import longest_held, split, starts_needed
from scheduling.selectors.plan.asked import Asked, Overrides, ZoneOverride
from scheduling.selectors.plan.days import Pattern
from scheduling.selectors.plan.letters import Group
from scheduling.selectors.plan.need import Needs

LONGEST_RUN_MIN = 1440.0


@dataclass(frozen=True)
class Share:
    """What one start gives one zone; ``cycle`` and ``soak`` are None where it isn't split. [min]

    ``wanted_min`` of all starts of a watering, ``day_min`` what the rule lets the zone have a day.
    """

    place: int
    depth_mm: float
    wanted_min: float
    day_min: float
    minutes: float
    cycles: int
    cycle: float | None
    soak: float | None
    soak_needed: float


@dataclass(frozen=True)
class Shares:
    """What one start of a program gives its zones, how many starts a watering takes, and how far apart.

    ``starts_wanted`` is how many it would take so that nothing runs off; ``soak_apart`` least time from the
    begin of one start to that of the next, for the soaks. [min]
    """

    runs: Sequence[Share]
    starts: int
    starts_wanted: int
    soak_apart: float


def shares_of(
    asked: Asked, needs: Needs, group: Group, pattern: Pattern, *, overrides: Overrides, starts: int | None
) -> Shares:
    """Return the runs of a program; ``starts`` where somebody has set how many there are."""
    step = asked.controller.minute_step
    places = list(group.places)
    depths = asked.need_met * depth_over_gaps(
        pattern.gaps,
        needs.mm_day[places],
        raw_mm=needs.survey.raw_mm[places],
        taw_mm=needs.survey.taw_mm[places],
    )
    a = needs.application(list(group.places))
    efficiency = a.ground_share * a.usable_share  # type: ignore[operator]
    exact = minutes_for_depth(depths, a.rate_mm_h, efficiency=efficiency)
    wanted = {p: min(float(m), LONGEST_RUN_MIN) for p, m in zip(group.places, exact, strict=True)}
    needed, held = 1, asked.controller.starts_per_program
    if not asked.controller.cycle_and_soak:
        needed = max(
            starts_needed(wanted[p], float(needs.longest_min[p]), step=step, most=24) for p in group.places
        )
    count = starts or max(1, min(needed, held))
    runs = [
        _share(
            asked,
            needs,
            place,
            depth=float(depth),
            wanted=wanted[place],
            starts=count,
            wish=overrides.zones.get(needs.zones[place].number) or ZoneOverride(),
        )
        for place, depth in zip(group.places, depths, strict=True)
    ]
    apart = max((run.minutes + run.soak_needed for run in runs), default=0.0) if count > 1 else 0.0
    return Shares(runs, count, needed, apart)


def _share(
    asked: Asked,
    needs: Needs,
    place: int,
    *,
    depth: float,
    wanted: float,
    starts: int,
    wish: ZoneOverride,
) -> Share:
    controller = asked.controller
    longest = float(needs.longest_min[place]) if controller.cycle_and_soak else inf
    capped = needs.day_min[place] < inf
    if wish.minutes is not None:
        minutes = wish.minutes
        cut = split(max(minutes, 1e-6), longest, step=controller.minute_step)
        cycles, cycle = (cut.cycles, cut.cycle) if minutes else (0, inf)
    else:
        step = controller.minute_step
        held = max(floor(float(needs.day_min[place]) / starts / step + 1e-9) * step, 0.0) if capped else inf
        cut = split(min(wanted / starts, held), longest, step=step)
        minutes, cycles, cycle = cut.minutes, cut.cycles, cut.cycle
    minutes = min(minutes, LONGEST_RUN_MIN)
    if controller.cycle_and_soak and wish.cycle is not None:
        cycle = wish.cycle
        cycles = ceil(minutes / cycle - 1e-9)
    soak = soak_after(needs, place, min(cycle, minutes))
    pause = wish.soak if wish.soak is not None and controller.cycle_and_soak else soak
    several = cycles > 1
    return Share(
        place=place,
        depth_mm=depth,
        wanted_min=wanted,
        day_min=float(needs.day_min[place]),
        minutes=minutes,
        cycles=cycles,
        cycle=cycle if several else None,
        soak=pause if several else None,
        soak_needed=soak,
    )


def soak_after(needs: Needs, place: int, cycle: float) -> float:
    """Return the least soak after a cycle, in whole minutes. [min]"""
    a = needs.application([place])
    held = float(needs.longest_min[place])
    soak = shortest_soak_min(
        min(cycle, held), rate_mm_h=a.rate_mm_h, intake_mm_h=a.intake_mm_h, ground_share=a.ground_share
    )
    return float(ceil(float(soak[0]) - 1e-6))


def held_cycle(asked: Asked, needs: Needs, place: int) -> float | None:
    """Return the longest cycle the controller can hold without runoff, None where water never runs off."""
    longest = float(needs.longest_min[place])
    return None if longest == inf else longest_held(longest, step=asked.controller.minute_step)
