"""What would help where a plan can't keep a limit: the same plan with one thing changed, computed."""

from collections.abc import Callable, Iterator
from copy import copy
from dataclasses import replace
from typing import Any

from fleet.models import WateringRule
from fleet.models.rules import WEEKDAYS
from scheduling.selectors.plan.asked import Asked
from scheduling.selectors.plan.reason import Fact, Reason
from scheduling.selectors.plan.result import DAYS, FLOW, HOURS, MINUTES, PROGRAMS, STARTS, Plan, WayOut
from scheduling.selectors.simulate import flow_of

Planner = Callable[..., Plan]
SHORTER = {HOURS, FLOW, MINUTES}  # what less water helps against
LEAST_NEED_MET = 0.5
NEED_STEP = 0.05


def ways_out(stopped: Plan, planner: Planner) -> list[WayOut]:
    """Return each way out that bears on what stops a plan, with what it would leave."""
    bindings = {stop.binding for stop in stopped.stops}
    found = [
        _told(key, reason, planner(asked, stopped.overrides, ways=False))
        for key, reason, asked in _changes(stopped.asked, bindings)
    ]
    if bindings & SHORTER:
        found += _less_water(stopped, planner)
    return found


def _changes(asked: Asked, bindings: set[str]) -> Iterator[tuple[str, Reason, Asked]]:
    rule, controller = asked.rule, asked.controller
    if HOURS in bindings and rule is not None and (longer := _an_hour_more(rule)):
        yield "hour", Reason("One hour more to water."), replace(asked, rule=longer)
    if bindings & {HOURS, DAYS, MINUTES, STARTS} and rule is not None:
        for text, more in _a_day_more(rule):
            yield "day", Reason(text), replace(asked, rule=more)
    if PROGRAMS in bindings:
        more_programs = _with(asked, program_capacity=controller.program_capacity + 1)
        yield "program", Reason("A controller that holds one program more."), more_programs
    if STARTS in bindings:
        more_starts = _with(asked, starts_per_program=controller.starts_per_program + 1)
        yield "start", Reason("A controller that holds one start more."), more_starts
    if not controller.cycle_and_soak and bindings & {HOURS, STARTS}:
        yield (
            "cycle_and_soak",
            Reason("A controller that can cycle and soak."),
            _with(asked, cycle_and_soak=True),
        )
    if HOURS in bindings and _room_for_two(asked):
        facts = {"count": Fact(float(controller.zones_at_once + 1))}
        yield (
            "at_once",
            Reason("{count} zones open at once.", facts),
            _with(asked, zones_at_once=controller.zones_at_once + 1),
        )


def _less_water(stopped: Plan, planner: Planner) -> Iterator[WayOut]:
    """Yield the largest share of the need that fits the night."""
    steps = round((1 - LEAST_NEED_MET) / NEED_STEP)
    low, high, best = 1, steps, None
    while low <= high:  # less water never takes longer
        step = (low + high) // 2
        met = round(1 - step * NEED_STEP, 2)
        tried = planner(replace(stopped.asked, need_met=met), stopped.overrides, ways=False)
        if {stop.binding for stop in tried.stops} & SHORTER:
            low = step + 1
        else:
            best, high = (met, tried), step - 1
    if best:
        reason = Reason("Only {met} of the need.", {"met": Fact(best[0], "share")})
        yield _told("less", reason, best[1])


def _room_for_two(asked: Asked) -> bool:
    """Tell whether the source could feed one zone more at once, if only the smallest ones."""
    flows = sorted(flow_of(zone) or 0.0 for zone in asked.zones)
    together = sum(flows[: asked.controller.zones_at_once + 1])
    return asked.supply_l_min is None or together <= asked.supply_l_min


def _told(key: str, reason: Reason, plan: Plan) -> WayOut:
    return WayOut(
        key=key,
        reason=reason,
        fits=plan.fits,
        binding=plan.binding,
        overrun_min=plan.overrun_min,
        over_limit_mm=plan.over_limit_mm,
        over_limit_share=plan.over_limit_share,
        waste_l_week=plan.waste_l_week,
        weekly_l=plan.weekly_l,
    )


def _with(asked: Asked, **fields: Any) -> Asked:
    controller = copy(asked.controller)
    for name, value in fields.items():
        setattr(controller, name, value)
    return replace(asked, controller=controller)


def _an_hour_more(rule: WateringRule) -> WateringRule | None:
    if rule.hours_from is None and rule.hours_to is None:
        return None
    wider = copy(rule)
    if rule.hours_to is not None:
        wider.hours_to = rule.hours_to.replace(hour=(rule.hours_to.hour + 1) % 24)
    else:
        assert rule.hours_from is not None
        if rule.hours_from.hour == 0:
            return None
        wider.hours_from = rule.hours_from.replace(hour=rule.hours_from.hour - 1)
    return wider


def _a_day_more(rule: WateringRule) -> Iterator[tuple[str, WateringRule]]:
    """Yield the rule with one weekday more, or any date where it goes by odd and even."""
    wider = copy(rule)
    if rule.parity != WateringRule.Parity.ANY:
        wider.parity = WateringRule.Parity.ANY
        yield "Watering on odd and even dates.", wider
        return
    named = rule.weekdays.split()
    if rule.days_per_week is not None and rule.days_per_week < 7:
        wider.days_per_week = rule.days_per_week + 1
    if named and len(named) < 7:
        free = [day for day in WEEKDAYS if day not in named]
        wider.weekdays = " ".join(sorted([*named, _between(named, free)], key=WEEKDAYS.index))
    if wider.days_per_week != rule.days_per_week or wider.weekdays != rule.weekdays:
        yield "One watering day more.", wider


def _between(named: list[str], free: list[str]) -> str:
    """Return the day in the middle of the longest gap."""

    def distance(day: str) -> int:
        at = WEEKDAYS.index(day)
        return min(min((at - WEEKDAYS.index(d)) % 7, (WEEKDAYS.index(d) - at) % 7) for d in named)

    return max(free, key=distance)
