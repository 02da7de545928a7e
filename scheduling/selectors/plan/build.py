"""Build a plan: needs, programs, days, minutes, starts, the night, effects, and what stops it."""

from collections.abc import Sequence
from dataclasses import replace

from common.errors import Refused
from fleet.selectors.site_rule import exempt
from scheduling.selectors.plan.asked import Asked, Overrides
from scheduling.selectors.plan.days import Pattern, pattern, patterns_for
from scheduling.selectors.plan.entries import Draft, box_of, drafted
from scheduling.selectors.plan.judge import effects, worst_night
from scheduling.selectors.plan.letters import Group, Grouped, groups_of
from scheduling.selectors.plan.minutes import shares_of
from scheduling.selectors.plan.need import Needs, complete_zones, needs_of, weather_known
from scheduling.selectors.plan.reason import Reason
from scheduling.selectors.plan.result import DAYS, WEATHER, Plan, Stop
from scheduling.selectors.plan.rows import program_plans, zone_plans
from scheduling.selectors.plan.stops import stops_of
from scheduling.selectors.plan.ways_out import ways_out
from scheduling.selectors.simulate import Box

NOTHING = Overrides()
NO_YEAR = "No usual year is known here or near; the first night fetches its weather."
MOST_MINUTES = 2880.0  # of all starts together, where somebody overrules what is planned


def plan(asked: Asked, overrides: Overrides = NOTHING, *, ways: bool = True) -> Plan:
    """Return the programs a controller should hold for the peak month of a usual year, each number explained.

    Parameters
    ----------
    asked
        The controller, its zones, rule, water and weather; rows may be unsaved. Zones with an incomplete
        survey are left out and named.
    overrides
        What a person wants instead of what is planned, by number of a zone and letter of a program; the rest
        is planned around it.
    ways
        Whether to plan anew for each way out where something stops the plan; without it ``ways_out`` is
        empty.

    Raises
    ------
    Refused
        If what is overruled asks for more water than two nights hold.

    Returns
    -------
    Plan
        Without zones or programs where no survey is complete, no month's weather is known, or a rule allows
        no day.
    """
    zones, left_out = complete_zones(asked)
    if not zones or not weather_known(asked):
        stops = [] if weather_known(asked) else [Stop(WEATHER, Reason(NO_YEAR))]
        return Plan(asked, overrides, None, (), (), left_out, None, Box(asked.controller, ()), stops)
    needs = needs_of(asked)
    grouped = groups_of(asked, needs, overrides)
    patterns = _patterns(asked, needs, grouped.groups, overrides)
    if patterns is None:
        stop = Stop(DAYS, Reason("The watering rule allows no day."), [zone.number for zone in zones])
        none = Plan(
            asked, overrides, needs.peak + 1, (), (), left_out, None, Box(asked.controller, ()), [stop]
        )
        return replace(none, ways_out=ways_out(none, plan) if ways else ())
    drafts = [
        _draft(asked, needs, group, days, overrides)
        for group, days in zip(grouped.groups, patterns, strict=True)
    ]
    if overrides and sum(_watering(draft) for draft in drafts) > MOST_MINUTES:
        raise Refused("That is more water than two whole nights can hold.", field="overrides")
    found = _judged(asked, overrides, needs, grouped, drafts)
    return replace(found, ways_out=ways_out(found, plan)) if ways and found.stops else found


def _judged(
    asked: Asked, overrides: Overrides, needs: Needs, grouped: Grouped, drafts: Sequence[Draft]
) -> Plan:
    box = box_of(asked, needs, drafts, overrides)
    night = worst_night(asked, box)
    zones = zone_plans(asked, needs, drafts, effects(asked, needs, box))
    return Plan(
        asked=asked,
        overrides=overrides,
        peak_month=needs.peak + 1,
        zones=zones,
        programs=program_plans(asked, needs, drafts, box),
        left_out=needs.left_out,
        night=night,
        box=box,
        stops=stops_of(asked, grouped, drafts, zones, night),
    )


def _watering(draft: Draft) -> float:
    return draft.shares.starts * sum(share.minutes for share in draft.shares.runs)


def _draft(asked: Asked, needs: Needs, group: Group, days: Pattern, overrides: Overrides) -> Draft:
    said = overrides.programs.get(group.letter)
    starts = len(said.starts) if said and said.starts is not None else None
    shares = shares_of(asked, needs, group, days, overrides=overrides, starts=starts)
    return drafted(asked, needs, group, days, shares)


def _planned(
    asked: Asked, needs: Needs, groups: Sequence[Group], intervals: Sequence[float], loads: Sequence[float]
) -> list[Pattern] | None:
    """Return the days of every program; one with nothing but heads the rule leaves alone goes by none."""
    free = [all(exempt(asked.rule, needs.zones[place]) for place in group.places) for group in groups]
    found: dict[int, Pattern] = {}
    for rule, own in ((asked.rule, False), (None, True)):
        members = [n for n, alone in enumerate(free) if alone is own]
        if not members:
            continue
        patterns = patterns_for([intervals[n] for n in members], [loads[n] for n in members], rule)
        if patterns is None:
            return None
        found |= dict(zip(members, patterns, strict=True))
    return [found[n] for n in range(len(groups))]


def _patterns(
    asked: Asked, needs: Needs, groups: Sequence[Group], overrides: Overrides
) -> list[Pattern] | None:
    intervals = [min(float(needs.intervals[place]) for place in group.places) for group in groups]
    loads = [
        sum(
            float(needs.mm_day[p] * needs.survey.area_m2[p] / max(needs.flow_l_min[p], 1e-6))
            for p in group.places
        )
        for group in groups
    ]
    planned = _planned(asked, needs, groups, intervals, loads)
    said = [overrides.programs.get(group.letter) for group in groups]
    wished = [pattern(one.days) if one and one.days else None for one in said]
    if planned is None:
        return None if any(one is None for one in wished) else [one for one in wished if one is not None]
    return [wish or own for wish, own in zip(wished, planned, strict=True)]
