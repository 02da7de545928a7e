"""A plan in a company's units and words."""

from collections.abc import Iterable, Mapping
from typing import Any

from desk import dates, figures
from desk.charts.night import night_chart
from fleet.models import Controller, ZoneEpisode
from scheduling.selectors.hours import allowed_spans
from scheduling.selectors.plan import Plan, Reason, WayOut, ZonePlan
from scheduling.selectors.plan.reason import in_si
from scheduling.selectors.simulate import Event, Night
from scheduling.selectors.usual_year import NEAR, TYPED, UsualYear

STOP_WORDS = {
    "hours": "Hours",
    "flow": "Flow",
    "minutes": "Minutes",
    "starts": "Starts",
    "days": "Days",
    "programs": "Programs",
    "zones": "Zones",
    "weather": "Weather",
}


def shown(reason: Reason, units: str) -> str:
    """Return a reason with its values in a company's units."""

    def show(value: float, unit: str) -> str:
        if unit in ("mm", "mm/d"):
            return figures.depth(value, units)
        if unit == "mm/h":
            return figures.rate(value, units)
        if unit == "L":
            return figures.water(value, units)
        if unit == "L/min":
            return figures.flow(value, units)
        if unit == "m2":
            return figures.area(value, units)
        return in_si(value, unit)

    return reason.told(show)


def usual_words(usual: UsualYear, units: str) -> str:
    """Return what a plan's weather is known from, empty where it is its own place's usual year."""
    if usual.of == TYPED:
        return "This rests on the reference ET typed for the hottest month; other months follow once known."
    if usual.of == NEAR:
        far = figures.distance(usual.distance_km, units)
        high = figures.height(usual.elevation_m, units)
        what = "The months its own place doesn't know yet are" if usual.filled else "This rests on"
        return f"{what} the usual year of a place {far} away, {high} high; its own may differ."
    return ""


def basis_of(reason: Reason) -> str:
    """Return how the least sure value behind a reason is known, in words."""
    found = [fact.basis for fact in reason.facts.values() if fact.basis]
    for basis in ("assumed", "table", "measured"):
        if basis in found:
            return basis
    return ""


def zone_lines(plan: Plan, units: str) -> list[dict[str, Any]]:
    """Return the zones with every number's reason."""
    return [
        {
            "plan": one,
            "why": {
                name: {
                    "id": f"why-{one.zone.pk}-{name}",
                    "words": shown(reason, units),
                    "basis": basis_of(reason),
                }
                for name, reason in one.reasons.items()
            },
            "every": f"every {in_si(one.interval_days, 'days')}",
            "effect": effect_words(one, units),
        }
        for one in plan.zones
    ]


def effect_words(one: ZonePlan, units: str) -> tuple[int, str]:
    """Return a state, 0 to 2, and what the plan does to a zone in words."""
    effect = one.effect
    if effect.mean_over_share > 0.005:
        level = 2 if effect.over_limit_share > 0.25 else 1
        return level, f"dries {figures.depth(effect.over_limit_mm, units)} past its limit"
    if one.weekly_l and effect.waste_l_week > 0.1 * one.weekly_l:
        return 1, f"{figures.water(effect.waste_l_week, units)} a week lost"
    return 0, "kept above its limit"


def stop_lines(plan: Plan, units: str) -> list[dict[str, str]]:
    """Return what stops a plan."""
    return [{"word": STOP_WORDS[stop.binding], "words": shown(stop.reason, units)} for stop in plan.stops]


def way_lines(plan: Plan, units: str) -> list[dict[str, Any]]:
    """Return what would help, with what it would leave."""
    return [
        {"words": shown(way.reason, units), "fits": way.fits, "leaves": _leaves(way, units), "way": way}
        for way in plan.ways_out
    ]


def _leaves(way: WayOut, units: str) -> str:
    if way.fits:
        return "everything kept"
    left = []
    if way.overrun_min >= 0.5:
        left.append(f"{dates.duration(way.overrun_min)} past the hours")
    if way.over_limit_mm > 0.05 and way.over_limit_share > 0.02:
        left.append(f"driest zone {figures.depth(way.over_limit_mm, units)} past its limit")
    if not left:
        left.append(f"{STOP_WORDS[way.binding or 'hours'].lower()} still short")
    return ", ".join(left)


def night_drawing(plan: Plan, units: str) -> dict[str, Any] | None:
    """Return the chart of the busiest night."""
    night = plan.night
    if night is None or not night.events:
        return None
    names = {one.zone.number: f"{one.zone.number} {one.zone.name}" for one in plan.zones}
    rows = [
        {
            "zone": names[event.zone.number],
            "begin": night.clock.minute_of(event.start),
            "end": night.clock.minute_of(event.end),
            "words": span_words(event, units),
        }
        for event in night.events
    ]
    order = list(dict.fromkeys(str(row["zone"]) for row in rows))
    edges = [edge for span in allowed_spans(plan.asked.rule, night.clock) for edge in span]
    return night_chart(rows, order, edges=edges, description=night_words(plan.asked.controller, night, units))


def night_words(controller: Controller, night: Night, units: str) -> str:
    """Return the busiest night in a sentence."""
    first = night.events[0].start
    last = max(event.end for event in night.events)
    return (
        f"The busiest night of {controller}: first valve {dates.clock_time(first, units)}, "
        f"last shut {dates.clock_time(last, units)}, {len(night.events)} openings."
    )


def away_words(away: Iterable[ZoneEpisode], night: Night) -> str:
    """Return which zones of a night aren't watered by need meanwhile, so that the night won't be theirs."""
    watered = {event.zone.pk for event in night.events}
    told = [f"zone {one.zone.number} is {one.get_kind_display()}" for one in away if one.zone_id in watered]
    if not told:
        return ""
    return (
        f" Meanwhile {', '.join(told)}: what is keyed in for that isn't drawn; the night shown is one after "
        "it."
    )


def night_lines(plan: Plan, units: str, apart: Mapping[int, list[str]]) -> list[dict[str, Any]]:
    """Return the openings of the busiest night for a table; ``apart`` says more about some zones."""
    if plan.night is None:
        return []
    return [
        {
            "letter": event.program.letter,
            "zone": event.zone,
            "cycle": event.cycle,
            "when": span_words(event, units),
            "flow": event.flow_l_min,
            "apart": apart.get(event.zone.pk, []),
        }
        for event in plan.night.events
    ]


def span_words(event: Event, units: str) -> str:
    """Return from when to when a valve is open."""
    return f"{dates.clock_time(event.start, units)} to {dates.clock_time(event.end, units)}"
