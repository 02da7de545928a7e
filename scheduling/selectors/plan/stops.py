"""What keeps a plan from doing all it should, the worst first."""

from collections.abc import Sequence

from scheduling.selectors.plan.asked import Asked
from scheduling.selectors.plan.entries import Draft
from scheduling.selectors.plan.letters import Grouped
from scheduling.selectors.plan.reason import Fact, Reason
from scheduling.selectors.plan.result import (
    DAYS,
    FLOW,
    HOURS,
    MINUTES,
    PROGRAMS,
    STARTS,
    ZONES,
    Stop,
    ZonePlan,
)
from scheduling.selectors.simulate import DAYS as FORBIDDEN
from scheduling.selectors.simulate import FLOW as TOO_MUCH
from scheduling.selectors.simulate import HOURS as OUTSIDE
from scheduling.selectors.simulate import MINUTES as TOO_LONG
from scheduling.selectors.simulate import NOON, Limit, Night

ORDER = (HOURS, FLOW, MINUTES, STARTS, DAYS, PROGRAMS, ZONES)
# As the percent search: less stress than this, the mean over the days as a share of the limit, is none. A
# single longer gap at the end of a month stays below it.
TOLERATED = 0.005


def stops_of(
    asked: Asked, grouped: Grouped, drafts: Sequence[Draft], zones: Sequence[ZonePlan], night: Night | None
) -> list[Stop]:
    """Return every limit that isn't kept."""
    found = [_of_night(limit, asked) for limit in (night.limits if night else [])]
    found += [
        *_capped(drafts, zones),
        *_starts(asked, drafts, zones),
        *_days(zones),
        *_programs(asked, grouped),
        *_zones(asked),
    ]
    return sorted(found, key=lambda stop: ORDER.index(stop.binding))


def _of_night(limit: Limit, asked: Asked) -> Stop:
    if limit.binding == FORBIDDEN:
        when = Fact(f"{limit.at:%H:%M} on {limit.at:%-d %B}")
        return Stop(DAYS, Reason("It would start at {when}, on a day the rule forbids.", {"when": when}))
    if limit.binding == TOO_MUCH:
        facts = {
            "flow": Fact(limit.flow_l_min, "L/min"),
            "supply": Fact(float(asked.supply_l_min or 0.0), "L/min"),
        }
        return Stop(FLOW, Reason("Open valves take {flow}; the source gives {supply}.", facts))
    facts = {"over": Fact(limit.minutes, "min")}
    if limit.binding == TOO_LONG:
        return Stop(MINUTES, Reason("A zone waters {over} more a day than the rule lets it.", facts))
    assert limit.binding in (OUTSIDE, NOON)
    return Stop(HOURS, Reason("The busiest night runs {over} beyond the hours allowed.", facts))


def _capped(drafts: Sequence[Draft], zones: Sequence[ZonePlan]) -> list[Stop]:
    """Say where a zone stays short because the rule lets it have no more minutes a day."""
    held = [
        share
        for draft in drafts
        for share in draft.shares.runs
        if share.wanted_min > share.day_min + 0.5
        and zones[share.place].effect.mean_over_share > TOLERATED  # both by number
    ]
    if not held:
        return []
    worst = max(held, key=lambda share: share.wanted_min - share.day_min)
    facts = {
        "zone": Fact(str(zones[worst.place].zone)),
        "wanted": Fact(worst.wanted_min, "min"),
        "most": Fact(worst.day_min, "min"),
    }
    text = "Zone {zone} would take {wanted} on a watering day; the rule lets it have {most}."
    return [Stop(MINUTES, Reason(text, facts), sorted(zones[share.place].zone.number for share in held))]


def _starts(asked: Asked, drafts: Sequence[Draft], zones: Sequence[ZonePlan]) -> list[Stop]:
    held = asked.controller.starts_per_program
    short = [draft for draft in drafts if draft.shares.starts_wanted > draft.shares.starts]
    too_many = [draft for draft in drafts if draft.shares.starts > held]
    stops = [
        Stop(
            STARTS,
            Reason(
                "Program {letter} would need {wanted} starts so that no water runs off; it has {has}.",
                {
                    "letter": Fact(draft.group.letter),
                    "wanted": Fact(float(draft.shares.starts_wanted)),
                    "has": Fact(float(draft.shares.starts)),
                },
            ),
            [one.zone.number for one in zones if one.letter == draft.group.letter],
        )
        for draft in short
    ]
    return stops + [
        Stop(
            STARTS,
            Reason(
                "Program {letter} has {has} starts; the controller holds {held}.",
                {
                    "letter": Fact(draft.group.letter),
                    "has": Fact(float(draft.shares.starts)),
                    "held": Fact(float(held)),
                },
            ),
        )
        for draft in too_many
    ]


def _days(zones: Sequence[ZonePlan]) -> list[Stop]:
    dry = [one for one in zones if one.effect.mean_over_share > TOLERATED]
    if not dry:
        return []
    worst = max(dry, key=lambda one: one.effect.over_limit_share)
    return [
        Stop(
            DAYS,
            Reason(
                "Zone {zone} dries {over} beyond its limit before it is watered again.",
                {"zone": Fact(str(worst.zone)), "over": Fact(worst.effect.over_limit_mm, "mm")},
            ),
            [one.zone.number for one in dry],
        )
    ]


def _programs(asked: Asked, grouped: Grouped) -> list[Stop]:
    held = asked.controller.program_capacity
    used = len(grouped.groups)
    if used > held:
        facts = {"used": Fact(float(used)), "held": Fact(float(held))}
        return [Stop(PROGRAMS, Reason("{used} programs; the controller holds {held}.", facts))]
    if not grouped.unlike:
        return []
    facts = {
        "letters": Fact(" and ".join(one.letter for one in grouped.unlike)),
        "wanted": Fact(float(grouped.wanted)),
        "held": Fact(float(held)),
    }
    text = "In program {letters} some zones' soil lasts more than twice as long as that of others."
    if grouped.wanted > held:
        text += " Keeping all unlike zones apart takes {wanted} programs; the controller holds {held}."
    return [Stop(PROGRAMS, Reason(text, facts))]


def _zones(asked: Asked) -> list[Stop]:
    most = asked.controller.zone_capacity
    beyond = sorted(zone.number for zone in asked.zones if zone.number > most)
    if not beyond:
        return []
    facts = {"most": Fact(float(most)), "numbers": Fact(", ".join(map(str, beyond)))}
    return [Stop(ZONES, Reason("The controller holds {most} zones; not zone {numbers}.", facts), beyond)]
