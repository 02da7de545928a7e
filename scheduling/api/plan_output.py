"""A plan by the names of the interface, in SI units."""

from typing import Any

from rest_framework import serializers

from scheduling.api.timeline import EXAMPLE as NIGHT
from scheduling.api.timeline import EventRow, NightRow, as_answer
from scheduling.selectors.plan import Reason, WayOut
from scheduling.selectors.plan.of_controller import Planned
from scheduling.selectors.plan.result import (
    DAYS,
    FLOW,
    HOURS,
    MINUTES,
    PROGRAMS,
    STARTS,
    WEATHER,
    ZONES,
    Plan,
    ProgramPlan,
    ZonePlan,
)

BINDINGS = [HOURS, FLOW, MINUTES, STARTS, DAYS, PROGRAMS, ZONES, WEATHER]


class FactRow(serializers.Serializer):
    """A value in a reason; text has no unit. ``basis`` measured, table, assumed or empty."""

    name = serializers.CharField()
    value = serializers.JSONField()
    unit = serializers.CharField()
    basis = serializers.CharField()


class ReasonRow(serializers.Serializer):
    """Why a number is what it is."""

    of = serializers.CharField()
    words = serializers.CharField()
    facts = FactRow(many=True)


class EffectRow(serializers.Serializer):
    """What weeks of the peak month without rain do: dryness beyond the limit, water lost in a week."""

    over_limit_mm = serializers.FloatField()
    over_limit_share = serializers.FloatField()
    waste_l_week = serializers.FloatField()
    need_met = serializers.FloatField()


class PlannedZoneRow(serializers.Serializer):
    """A zone; minutes, cycle and soak are those of one start. Null ``longest_cycle``: nothing runs off."""

    zone = serializers.IntegerField()
    number = serializers.IntegerField()
    program = serializers.CharField()
    interval_days = serializers.IntegerField()
    need_mm_day = serializers.FloatField()
    readily_available_mm = serializers.FloatField()
    depth_mm = serializers.FloatField()
    minutes = serializers.FloatField()
    minutes_a_watering = serializers.FloatField()
    cycles = serializers.IntegerField()
    cycle = serializers.FloatField(allow_null=True)
    longest_cycle = serializers.FloatField(allow_null=True)
    soak = serializers.FloatField(allow_null=True)
    least_soak = serializers.FloatField()
    weekly_l = serializers.FloatField()
    flow_l_min = serializers.FloatField()
    effect = EffectRow()
    basis = serializers.DictField(child=serializers.CharField())
    reasons = ReasonRow(many=True)


class PlannedRunRow(serializers.Serializer):
    """One zone in a program."""

    zone = serializers.IntegerField()
    minutes = serializers.FloatField()
    cycle = serializers.FloatField(allow_null=True)
    soak = serializers.FloatField(allow_null=True)
    order = serializers.IntegerField()


class PlannedProgramRow(serializers.Serializer):
    """A program as it is entered; twelve percents of the peak month, null where the weather is unknown."""

    letter = serializers.CharField()
    name = serializers.CharField()
    days = serializers.CharField()
    longest_gap_days = serializers.FloatField()
    starts = serializers.ListField(child=serializers.CharField())
    takes_min = serializers.FloatField()
    month_percents = serializers.ListField(child=serializers.IntegerField(allow_null=True))
    runs = PlannedRunRow(many=True)
    reasons = ReasonRow(many=True)


class LeftOutRow(serializers.Serializer):
    """A zone that isn't planned, and what its survey lacks."""

    zone = serializers.IntegerField()
    number = serializers.IntegerField()
    missing = serializers.ListField(child=serializers.CharField())


class StopRow(serializers.Serializer):
    """A limit the plan can't keep."""

    binding = serializers.ChoiceField(choices=BINDINGS)
    words = serializers.CharField()
    zones = serializers.ListField(child=serializers.IntegerField(), help_text="Their numbers.")


class WayOutRow(serializers.Serializer):
    """What one change would bring, from planning anew."""

    key = serializers.CharField()
    words = serializers.CharField()
    fits = serializers.BooleanField()
    binding = serializers.ChoiceField(choices=BINDINGS, allow_null=True)
    overrun_min = serializers.FloatField()
    over_limit_mm = serializers.FloatField()
    over_limit_share = serializers.FloatField()
    waste_l_week = serializers.FloatField()
    weekly_l = serializers.FloatField()


class PlannedEventRow(EventRow):
    """One valve open once; its program isn't stored, so it has no id."""

    program = serializers.IntegerField(allow_null=True)


class PlannedNightRow(NightRow):
    """The busiest night of the plan."""

    events = PlannedEventRow(many=True)


class PlanRow(serializers.Serializer):
    """The plan of a controller; send ``digest`` back to adopt it as shown."""

    controller = serializers.IntegerField()
    effective = serializers.DateField()
    digest = serializers.CharField()
    peak_month = serializers.IntegerField(allow_null=True)
    fits = serializers.BooleanField()
    binding = serializers.ChoiceField(choices=BINDINGS, allow_null=True)
    overrun_min = serializers.FloatField()
    weekly_l = serializers.FloatField()
    waste_l_week = serializers.FloatField()
    over_limit_mm = serializers.FloatField()
    zones = PlannedZoneRow(many=True)
    programs = PlannedProgramRow(many=True)
    left_out = LeftOutRow(many=True)
    stops = StopRow(many=True)
    ways_out = WayOutRow(many=True)
    night = PlannedNightRow(allow_null=True)


def plan_answer(planned: Planned) -> dict[str, Any]:
    """Return a plan by the names of the interface."""
    found: Plan = planned.plan
    controller = found.asked.controller
    return {
        "controller": controller.pk,
        "effective": found.asked.clock.night,
        "digest": planned.digest,
        "peak_month": found.peak_month,
        "fits": found.fits,
        "binding": found.binding,
        "overrun_min": _r(found.overrun_min),
        "weekly_l": _r(found.weekly_l),
        "waste_l_week": _r(found.waste_l_week),
        "over_limit_mm": _r(found.over_limit_mm),
        "zones": [_zone(one) for one in found.zones],
        "programs": [_program(one) for one in found.programs],
        "left_out": [
            {"zone": one.zone.pk, "number": one.zone.number, "missing": list(one.missing)}
            for one in found.left_out
        ],
        "stops": [
            {"binding": one.binding, "words": one.reason.sentence, "zones": list(one.zones)}
            for one in found.stops
        ],
        "ways_out": [_way(one) for one in found.ways_out],
        "night": _night(found),
    }


def _night(found: Plan) -> dict[str, Any] | None:
    """Return the busiest night; its programs aren't stored, so they have no id."""
    if found.night is None:
        return None
    night = as_answer(found.asked.controller, found.night)
    for event in night["events"]:
        event["program"] = None
    return night


def _zone(one: ZonePlan) -> dict[str, Any]:
    return {
        "zone": one.zone.pk,
        "number": one.zone.number,
        "program": one.letter,
        "interval_days": one.interval_days,
        "need_mm_day": _r(one.need_mm_day),
        "readily_available_mm": _r(one.raw_mm),
        "depth_mm": _r(one.depth_mm),
        "minutes": _r(one.minutes),
        "minutes_a_watering": _r(one.minutes_a_watering),
        "cycles": one.cycles,
        "cycle": one.cycle_min,
        "longest_cycle": one.longest_min,
        "soak": one.soak_min,
        "least_soak": one.soak_needed_min,
        "weekly_l": _r(one.weekly_l),
        "flow_l_min": _r(one.flow_l_min),
        "effect": {
            "over_limit_mm": _r(one.effect.over_limit_mm),
            "over_limit_share": _r(one.effect.over_limit_share),
            "waste_l_week": _r(one.effect.waste_l_week),
            "need_met": _r(one.effect.met),
        },
        "basis": dict(one.basis),
        "reasons": [_reason(name, reason) for name, reason in one.reasons.items()],
    }


def _program(one: ProgramPlan) -> dict[str, Any]:
    return {
        "letter": one.letter,
        "name": one.name,
        "days": one.days,
        "longest_gap_days": one.longest_gap,
        "starts": list(one.starts),
        "takes_min": _r(one.takes_min),
        "month_percents": list(one.month_percents),
        "runs": [
            {
                "zone": run.zone.pk,
                "minutes": _r(run.minutes),
                "cycle": run.cycle,
                "soak": run.soak,
                "order": order,
            }
            for order, run in enumerate(one.runs, start=1)
        ],
        "reasons": [_reason(name, reason) for name, reason in one.reasons.items()],
    }


def _way(one: WayOut) -> dict[str, Any]:
    return {
        "key": one.key,
        "words": one.reason.sentence,
        "fits": one.fits,
        "binding": one.binding,
        "overrun_min": _r(one.overrun_min),
        "over_limit_mm": _r(one.over_limit_mm),
        "over_limit_share": _r(one.over_limit_share),
        "waste_l_week": _r(one.waste_l_week),
        "weekly_l": _r(one.weekly_l),
    }


def _reason(name: str, reason: Reason) -> dict[str, Any]:
    return {
        "of": name,
        "words": reason.sentence,
        "facts": [
            {
                "name": key,
                "value": fact.value if isinstance(fact.value, str) else _r(fact.value),
                "unit": fact.unit,
                "basis": fact.basis,
            }
            for key, fact in reason.facts.items()
        ],
    }


def _r(value: float) -> float:
    return round(value, 4)


REASON = {
    "of": "interval_days",
    "words": "Soil holds 17.0 mm these roots may use, July takes 6.8 mm a day: every 2 days.",
    "facts": [{"name": "raw", "value": 17.0, "unit": "mm", "basis": "table"}],
}
EFFECT = {"over_limit_mm": 0.0, "over_limit_share": 0.0, "waste_l_week": 25.1, "need_met": 1.0}
EXAMPLE = {
    "controller": 12,
    "effective": "2026-07-14",
    "digest": "5d41402abc4b2a76b9719d911017c592",
    "peak_month": 7,
    "fits": False,
    "binding": "hours",
    "overrun_min": 25.0,
    "weekly_l": 11076.0,
    "waste_l_week": 25.1,
    "over_limit_mm": 0.0,
    "zones": [
        {
            "zone": 240,
            "number": 1,
            "program": "A",
            "interval_days": 2,
            "need_mm_day": 6.768,
            "readily_available_mm": 17.0,
            "depth_mm": 11.844,
            "minutes": 71.0,
            "minutes_a_watering": 71.0,
            "cycles": 2,
            "cycle": 36.0,
            "longest_cycle": 37.0,
            "soak": 52.0,
            "least_soak": 52.0,
            "weekly_l": 11076.0,
            "flow_l_min": 39.0,
            "effect": EFFECT,
            "basis": {"soil": "table", "uniformity": "measured"},
            "reasons": [REASON],
        }
    ],
    "programs": [
        {
            "letter": "A",
            "name": "Lawns",
            "days": "mon tue thu sat",
            "longest_gap_days": 2.0,
            "starts": ["03:57"],
            "takes_min": 123.0,
            "month_percents": [10, 15, 30, 65, 80, 90, 100, 80, 55, 35, 15, 10],
            "runs": [{"zone": 240, "minutes": 71.0, "cycle": 36.0, "soak": 52.0, "order": 1}],
            "reasons": [],
        }
    ],
    "left_out": [{"zone": 241, "number": 2, "missing": ["soil"]}],
    "stops": [
        {
            "binding": "hours",
            "words": "The busiest night runs 25 min beyond the hours allowed.",
            "zones": [],
        }
    ],
    "ways_out": [
        {
            "key": "hour",
            "words": "One hour more to water.",
            "fits": True,
            "binding": None,
            "overrun_min": 0.0,
            "over_limit_mm": 0.0,
            "over_limit_share": 0.0,
            "waste_l_week": 25.1,
            "weekly_l": 11076.0,
        }
    ],
    "night": NIGHT,
}
