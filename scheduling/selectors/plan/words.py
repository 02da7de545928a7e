"""Why each number of a plan is what it is."""

from calendar import month_name
from collections.abc import Mapping
from dataclasses import replace
from math import inf

from fleet.models import Zone
from fleet.numerics.soils import SOILS
from fleet.selectors.site_rule import exempt
from scheduling.selectors.plan.asked import Asked
from scheduling.selectors.plan.entries import Draft
from scheduling.selectors.plan.minutes import Share
from scheduling.selectors.plan.need import Needs
from scheduling.selectors.plan.reason import Fact, Reason


def of_zone(asked: Asked, needs: Needs, draft: Draft, share: Share) -> dict[str, Reason]:
    """Return the reasons of a zone's numbers, by the names of ``ZonePlan``."""
    zone = needs.zones[share.place]
    return {
        "interval_days": _interval(needs, share, zone),
        "depth_mm": _depth(asked, needs, draft, share),
        "minutes": _minutes(needs, draft, share, zone),
        "longest_min": _longest(needs, share, zone),
        "cycles": _cycles(asked, draft, share),
        "soak_min": _soak(needs, draft, share, zone),
        "weekly_l": _weekly(needs, draft, share, zone),
        "flow_l_min": _flow(needs, share, zone),
    }


def of_program(asked: Asked, needs: Needs, draft: Draft) -> dict[str, Reason]:
    """Return the reasons of a program's days and starts."""
    first = min(draft.group.places, key=lambda place: float(needs.intervals[place]))
    facts = {
        "zone": Fact(str(needs.zones[first])),
        "interval": Fact(float(needs.intervals[first]), "days"),
        "gap": Fact(draft.pattern.longest_gap, "d"),
    }
    days = Reason(
        "Zone {zone} dries first: water every {interval}. These days are {gap} apart at most.", facts
    )
    if asked.rule is not None and all(exempt(asked.rule, needs.zones[p]) for p in draft.group.places):
        days = replace(days, template=days.template + " The rule leaves these heads alone.")
    starts = Reason("One after another, over before 06:00 where the hours leave room (common practice).")
    if draft.shares.starts > 1:
        starts = Reason(
            "This controller can't cycle and soak: {starts} shorter starts, {apart} apart at least, let the "
            "water go in.",
            {
                "starts": Fact(float(draft.shares.starts)),
                "apart": Fact(max(draft.shares.soak_apart, draft.takes), "min"),
            },
        )
    return {"days": days, "starts": starts}


def _interval(needs: Needs, share: Share, zone: Zone) -> Reason:
    soil = float(needs.survey.raw_mm[share.place]) / float(needs.mm_day[share.place])
    if needs.intervals[share.place] + 1 <= soil:
        facts = {
            "most": Fact(share.day_min, "min"),
            "interval": Fact(float(needs.intervals[share.place]), "days"),
            "soil": Fact(float(int(soil)), "days"),
        }
        return Reason(
            "The rule lets it have {most} a day, enough for every {interval}; its soil would last for every "
            "{soil}.",
            facts,
        )
    return Reason(
        "Soil holds {raw} these roots may use, {month} takes {need} a day: every {interval}.",
        {
            "raw": Fact(float(needs.survey.raw_mm[share.place]), "mm", _basis(zone, "soil", "root_depth_mm")),
            "month": Fact(month_name[needs.peak + 1]),
            "need": Fact(float(needs.mm_day[share.place]), "mm/d", _basis(zone, "plant", "sun")),
            "interval": Fact(float(needs.intervals[share.place]), "days"),
        },
    )


def _depth(asked: Asked, needs: Needs, draft: Draft, share: Share) -> Reason:
    need = float(needs.mm_day[share.place])
    room = float(needs.survey.raw_mm[share.place])
    gaps = draft.pattern.gaps
    mean = sum(gaps) / len(gaps)
    facts = {
        "gap": Fact(mean, "d"),
        "longest": Fact(float(max(gaps)), "d"),
        "need": Fact(need, "mm/d"),
        "room": Fact(room, "mm"),
        "depth": Fact(share.depth_mm, "mm"),
        "met": Fact(asked.need_met, "share"),
    }
    if max(gaps) * need > room + 1e-6:
        text = "Up to {longest} at {need} a day is more than {room}; deeper would drain and help no more"
    elif share.depth_mm > asked.need_met * mean * need + 1e-3:
        text = "{gap} between waterings, but up to {longest}, at {need} a day: kept above its limit by more"
    else:
        text = "{gap} between waterings at {need} a day"
    text += ": {depth}." if asked.need_met == 1 else ", {met} of it: {depth}."
    return Reason(text, facts)


def _minutes(needs: Needs, draft: Draft, share: Share, zone: Zone) -> Reason:
    place = share.place
    efficiency = needs.water("ground_share", place) * needs.water("usable_share", place)
    facts = {
        "depth": Fact(share.depth_mm, "mm"),
        "rate": Fact(needs.water("rate_mm_h", place), "mm/h", _basis(zone, "precipitation_rate_mm_h")),
        "share": Fact(efficiency, "share", _basis(zone, "uniformity")),
        "wanted": Fact(share.wanted_min, "min"),
        "minutes": Fact(share.minutes, "min"),
        "starts": Fact(float(draft.shares.starts)),
    }
    text = "{depth} at {rate}, of which the plants can use {share}: {wanted}"
    if share.wanted_min > share.day_min:
        facts["most"] = Fact(share.day_min, "min")
        text += ", but the rule lets it have {most} a day"
    if draft.shares.starts > 1:
        return Reason(text + ", in {starts} starts of {minutes}.", facts)
    return Reason(text + ", set as {minutes}.", facts)


def _longest(needs: Needs, share: Share, zone: Zone) -> Reason:
    place = share.place
    facts = {
        "rate": Fact(needs.water("rate_mm_h", place), "mm/h", _basis(zone, "precipitation_rate_mm_h")),
        "soil": Fact(SOILS[zone.soil].name.lower()),
        "intake": Fact(needs.water("intake_mm_h", place), "mm/h", _basis(zone, "soil")),
        "pond": Fact(needs.water("accumulation_mm", place), "mm", _basis(zone, "slope_percent")),
        "slope": Fact(float(zone.slope_percent or 0.0)),
    }
    comes = "Water comes at {rate}"
    if needs.water("ground_share", place) < 1:
        facts["ground"] = Fact(needs.water("ground_share", place), "share", "assumed")
        comes += ", {ground} of it reaches the ground"
    longest = float(needs.longest_min[place])
    if longest == inf:
        return Reason(f"{comes}; {{soil}} takes {{intake}}: nothing runs off.", facts)
    facts["longest"] = Fact(longest, "min")
    return Reason(
        f"{comes}; {{soil}} takes {{intake}} and at {{slope}} % slope lets {{pond}} stand: it runs off after "
        "{longest}.",
        facts,
    )


def _cycles(asked: Asked, draft: Draft, share: Share) -> Reason:
    facts = {"minutes": Fact(share.minutes, "min"), "cycles": Fact(float(share.cycles))}
    if share.cycle is None:
        return Reason("In one go: nothing runs off in {minutes}." if share.cycles else "No water.", facts)
    facts["cycle"] = Fact(share.cycle, "min")
    return Reason("{minutes} in {cycles} cycles of at most {cycle}, so that nothing runs off.", facts)


def _soak(needs: Needs, draft: Draft, share: Share, zone: Zone) -> Reason:
    facts = {"soak": Fact(share.soak_needed, "min"), "soil": Fact(SOILS[zone.soil].name.lower())}
    if share.cycle is None and draft.shares.starts == 1:
        return Reason("In one go: no soak.", facts)
    if not share.soak_needed:
        return Reason("The {soil} takes the water as it comes: no soak.", facts)
    facts["cycle"] = Fact(share.cycle or share.minutes, "min")
    return Reason("After {cycle} the {soil} needs {soak} to take in what stands on it.", facts)


def _weekly(needs: Needs, draft: Draft, share: Share, zone: Zone) -> Reason:
    return Reason(
        "Waterings a week: {times}, of {minutes} at {flow}.",
        {
            "times": Fact(7 / draft.pattern.mean_gap),
            "minutes": Fact(share.minutes * draft.shares.starts, "min"),
            "flow": Fact(float(needs.flow_l_min[share.place]), "L/min", _basis(zone, "flow_l_min")),
        },
    )


def _flow(needs: Needs, share: Share, zone: Zone) -> Reason:
    if zone.flow_l_min:
        facts = {"basis": Fact(str(zone.basis.get("flow_l_min", "assumed")))}
        return Reason("As surveyed: {basis}.", facts)
    return Reason(
        "From the rate {rate} on {area}.",
        {
            "rate": Fact(float(zone.precipitation_rate_mm_h or 0.0), "mm/h"),
            "area": Fact(float(zone.area_m2 or 0.0), "m2", _basis(zone, "area_m2")),
        },
    )


_SURENESS: Mapping[str, int] = {"measured": 0, "table": 1, "assumed": 2}


def _basis(zone: Zone, *fields: str) -> str:
    """Return the least sure basis of some fields."""
    return max((str(zone.basis.get(field, "assumed")) for field in fields), key=lambda b: _SURENESS.get(b, 2))
