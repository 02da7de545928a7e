"""The plan of a stored controller: rows and weather read, and a digest that says what it was made from."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date, time
from hashlib import sha256
from typing import Any

from django.db import models
from django.db.models import Q

from fleet.models import Controller, SiteCorrection, Zone, ZoneCut, ZoneEpisode, ZoneTrim
from fleet.models.zones import SURVEYED
from fleet.selectors.policies import policies_of
from fleet.selectors.site_rule import rule_of
from scheduling.season.need_factors import need_factors
from scheduling.selectors.held import held_by
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.plan.asked import Asked, Overrides
from scheduling.selectors.plan.build import NOTHING, plan
from scheduling.selectors.plan.result import LeftOut, Plan
from scheduling.selectors.simulate import Box
from scheduling.selectors.usual_year import UsualYear, usual_year

HELD = (
    "zone_capacity",
    "program_capacity",
    "starts_per_program",
    "percent_step",
    "percent_max",
    "percent_scope",
    "minute_step",
    "cycle_and_soak",
    "zones_at_once",
)
RULED = (
    "weekdays",
    "parity",
    "days_per_week",
    "hours_from",
    "hours_to",
    "again_from",
    "again_to",
    "exempt_heads",
    "zone_minutes",
)
OFF = "it is off"


@dataclass(frozen=True)
class Planned:
    """A plan of stored rows; ``present`` is what the controller holds in the first night; ``digest`` changes
    whenever anything does that the plan was made from, or is overruled otherwise; ``usual`` is the year it
    rests on; ``correction`` is the site's of reference ET, where one is in force."""

    plan: Plan
    present: Box
    digest: str
    usual: UsualYear
    correction: SiteCorrection | None = None


def plan_of(
    controller: Controller, *, night: date, overrides: Overrides = NOTHING, ways: bool = True
) -> Planned:
    """Return the plan of a controller from a night on, in a fixed number of queries.

    The site with its client and rule, and the water source, should be loaded.
    """
    corrections = list(
        controller.site.corrections.filter(effective_from__lte=night).order_by("effective_from")
    )
    usual = usual_year(controller.site, peak_mm_day=overrides.peak_et_mm_day)
    asked, present, off = _asked(controller, night, corrections, usual)
    found = plan(asked, overrides, ways=ways)
    left_out = [*found.left_out, *(LeftOut(zone, [OFF]) for zone in off)]
    found = replace(found, left_out=sorted(left_out, key=lambda one: one.zone.number))
    digest = _digest(asked, present, off, overrides)
    return Planned(found, present, digest, usual, next(iter(corrections[-1:]), None))


def _asked(
    controller: Controller, night: date, corrections: Sequence[SiteCorrection], usual: UsualYear
) -> tuple[Asked, Box, list[Zone]]:
    site, source = controller.site, controller.source
    zones = list(controller.zones.order_by("number"))
    for zone in zones:
        zone.controller = controller
    off = _off(zones, night)
    sharing = Q(pk=controller.pk)
    if source is not None:
        sharing |= Q(source=source)
    boxes = list(Controller.objects.filter(sharing).select_related("site__watering_rule").order_by("pk"))
    held = held_by(boxes, first=night, last=night)
    others = [one for one in boxes if one.pk != controller.pk and one.site.season != "closed"]
    asked = Asked(
        controller=controller,
        zones=[zone for zone in zones if zone not in off],
        clock=NightClock(night, site.timezone),
        et_mm_day=usual.et_mm_day,
        rule=rule_of(site, night),
        supply_l_min=source.flow_l_min if source is not None else None,
        others=[held.box(one, night) for one in others],
        boundary=policies_of([site.client_id])[site.client_id].uniformity_margin,
        southern=site.latitude < 0,
        trims=_trims(zones, night, corrections),
    )
    return asked, held.box(controller, night), off


def _off(zones: Sequence[Zone], night: date) -> list[Zone]:
    open_now = ZoneEpisode.objects.filter(
        Q(effective_to=None) | Q(effective_to__gte=night),
        zone__in=zones,
        kind=ZoneEpisode.Kind.OFF,
        effective_from__lte=night,
    )
    ids = set(open_now.values_list("zone_id", flat=True))
    return [zone for zone in zones if zone.pk in ids]


def _trims(zones: Sequence[Zone], night: date, corrections: Sequence[SiteCorrection]) -> dict[int, float]:
    numbers = {zone.pk: zone.number for zone in zones}
    trims = ZoneTrim.objects.filter(zone__in=zones, effective_from__lte=night).order_by(
        "effective_from", "pk"
    )
    cuts = ZoneCut.objects.filter(zone__in=zones, effective_from__lte=night).order_by("effective_from")
    factors = need_factors(
        trims.values_list("zone_id", "effective_from", "factor"),
        cuts.values_list("zone_id", "effective_from", "effective_to", "factor"),
        on=night,
        corrections=[(one.site_id, one.effective_from, one.factor) for one in corrections],
        site_of={zone.pk: zone.controller.site_id for zone in zones},
    )
    return {numbers[zone]: factor for zone, _, factor in factors}


def _digest(asked: Asked, present: Box, off: Sequence[Zone], overrides: Overrides) -> str:
    said = {
        "controller": _values(asked.controller, HELD),
        "zones": [_values(zone, ("pk", "number", "name", "basis", *SURVEYED)) for zone in asked.zones],
        "off": [zone.pk for zone in off],
        "rule": _values(asked.rule, RULED) if asked.rule is not None else None,
        "water": [asked.supply_l_min, *(_held(box) for box in asked.others)],
        "weather": list(asked.et_mm_day),
        "share": [asked.boundary, asked.southern, sorted(asked.trims.items())],
        "night": asked.clock.night,
        "present": _held(present),
        "overrides": asdict(overrides),
    }
    text = json.dumps(said, sort_keys=True, default=_plain)
    return sha256(text.encode()).hexdigest()[:32]


def _held(box: Box) -> list[Any]:
    return [
        box.controller.pk,
        box.controller.zones_at_once,
        [
            [
                _values(entry.program, ("pk", "letter", "days", "starts", "effective", "ended")),
                entry.percent,
                entry.skipped,
                [_values(run, ("zone_id", "minutes", "cycle", "soak", "order")) for run in entry.runs],
            ]
            for entry in box.entries
        ],
    ]


def _values(row: models.Model, names: Sequence[str]) -> Mapping[str, Any]:
    return {name: getattr(row, name) for name in names}


def _plain(value: object) -> str:
    if isinstance(value, (date, time)):
        return value.isoformat()
    return str(value)
