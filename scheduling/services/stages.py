"""Switching a town's drought stage from a night on, with the cut in water it asks for, and taking it back."""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

import numpy as np
from django.db import transaction

from common.errors import Refused
from fleet.models import SettingEdit, Site, Town, User, Zone, ZoneCut, ZoneEpisode
from fleet.numerics.cut_order import CUT_ORDER
from fleet.numerics.landscape_coefficient import landscape_coefficient
from fleet.numerics.sun import SUNS
from fleet.selectors.episodes import going_on
from fleet.selectors.site_rule import at_stage
from fleet.services.edits import change_row, take_back
from scheduling.numerics.cut import spread_cut
from scheduling.season.survey import missing_of

FURTHEST = timedelta(days=366)
A_BATCH = 500


@transaction.atomic
def switch_stage(*, town: Town, by: User, stage: int, since: date, on: date) -> SettingEdit:
    """Put a town under a stage from the night of ``since`` on; 0 lifts what was.

    What the stage's rules ask to save is spread over each site's zones, trees before shrubs before turf, and
    holds until the next switch.

    Raises
    ------
    NotAllowed
        If the person decides nothing in this company.
    Refused
        If the night can't be, the stage has no rule or is in force already, or a switch is still ahead.
    """

    def decide(now: Town) -> dict[str, object]:
        _check(now, stage, since=since, on=on)
        return {"stage": stage, "stage_from": since, "stage_before": now.stage_on(on)}

    edit = change_row(row=town, by=by, company_id=town.company_id, decide=decide)
    assert edit is not None
    town.refresh_from_db()
    own = ZoneCut.objects.filter(town=town)
    own.filter(effective_from__gte=since).delete()
    own.filter(effective_to=None).update(effective_to=since - timedelta(days=1))
    _cut(town, stage, since=since)
    return edit


@transaction.atomic
def take_back_switch(*, edit: SettingEdit, by: User) -> SettingEdit:
    """Put a town back under the stage before a switch, as if it had never been.

    Raises
    ------
    NotAllowed
        If the person decides nothing in this company.
    MovedOn
        If it was taken back before, or something was saved after it.
    """
    undone = take_back(edit=edit, by=by)
    if "stage_from" not in edit.after:
        return undone
    since = date.fromisoformat(edit.after["stage_from"])
    town = Town.objects.get(pk=edit.row)
    own = ZoneCut.objects.filter(town=town)
    own.filter(effective_from__gte=since).delete()
    reopened = own.filter(effective_to=since - timedelta(days=1)).update(effective_to=None)
    if not reopened:
        _cut(town, town.stage, since=since)
    return undone


def _check(town: Town, stage: int, *, since: date, on: date) -> None:
    if town.stage_from is not None and town.stage_from > on:
        raise Refused(
            f"The switch to stage {town.stage} from {town.stage_from} on is still ahead; take it back first.",
            field="stage",
        )
    if stage == town.stage_on(on):
        raise Refused("This stage is in force already.", field="stage")
    if stage and not town.rules.filter(stage=stage).exists():
        raise Refused(f"{town} has no rule for stage {stage}; write one first.", field="stage")
    if since < on:
        raise Refused("The first night can be tonight's at the earliest.", field="from")
    if since > on + FURTHEST:
        raise Refused("That is more than a year ahead.", field="from")


def _cut(town: Town, stage: int, *, since: date) -> None:
    """Hold the zones of a town's sites at what a stage's rules leave them."""
    if not stage:
        return
    sites = town.sites.select_related("town").prefetch_related("town__rules").order_by("pk")
    asked = {
        site.pk: (site, rule.less_percent)
        for site in sites
        if (rule := at_stage(site, stage, since)) is not None and rule.less_percent
    }
    zones: dict[int, list[Zone]] = {pk: [] for pk in asked}
    away = ZoneEpisode.objects.filter(going_on(since), zone__controller__site__in=asked)
    gone = set(away.values_list("zone_id", flat=True))
    for zone in Zone.objects.filter(controller__site__in=asked).select_related("controller").order_by("pk"):
        if zone.pk not in gone and not missing_of(zone):
            zones[zone.controller.site_id].append(zone)
    cuts = [
        ZoneCut(
            zone=zone,
            town=town,
            factor=round(float(factor), 4),
            reason=f"{town}, stage {stage}: {less} % less water",
            effective_from=since,
        )
        for site, less in asked.values()
        for zone, factor in zip(
            zones[site.pk], cut_factors(site, zones[site.pk], less=less, month=since.month), strict=True
        )
    ]
    ZoneCut.objects.bulk_create((c for c in cuts if c.factor < 1), batch_size=A_BATCH)


def cut_factors(site: Site, zones: Sequence[Zone], *, less: int, month: int) -> Iterable[float]:
    """Return the share of its need each zone of a site is held at when all get ``less`` percent less.

    Needs are told apart by area and landscape coefficient of the month; the weather is the same for all.
    """
    if not zones:
        return []
    kl = landscape_coefficient(
        [zone.plant for zone in zones],
        microclimate=np.array([SUNS[zone.sun].microclimate.value for zone in zones]),
        southern=np.full(len(zones), site.latitude < 0),
    )[month - 1]
    keep = [CUT_ORDER[zone.plant] for zone in zones]
    factors: list[float] = spread_cut(
        kl * np.array([zone.area_m2 for zone in zones], dtype=np.float64),
        share=1 - less / 100,
        rank=np.array([one.rank for one in keep]),
        least_share=np.array([one.least_share for one in keep]),
    ).tolist()
    return factors
