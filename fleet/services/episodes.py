"""Zones that aren't watered by need for a while: beginning, setting right, ending."""

import datetime as dt
from typing import Any

from django.db import transaction
from django.db.models import Q

from common import clock
from common.errors import Refused
from fleet.models import User, Zone, ZoneEpisode
from fleet.numerics.leaching import leaching_requirement
from fleet.selectors.people import require_enter
from fleet.services.holding import held
from fleet.services.storing import check
from fleet.tenancy import company_id_of

SAID = (
    "kind",
    "effective_from",
    "effective_to",
    "permit",
    "permit_from",
    "permit_to",
    "permit_hours_from",
    "permit_hours_to",
    "runs_a_day",
    "run_minutes",
    "leaching_share",
    "water_ds_m",
    "soil_ds_m",
    "note",
)
MOST_LEACHING = 0.6
TAKEN_AWAY = "This was taken away by somebody else."
FURTHEST_AHEAD, FURTHEST_BACK = dt.timedelta(days=366), dt.timedelta(days=366)


@transaction.atomic
def begin_episode(*, zone: Zone, by: User, **fields: Any) -> ZoneEpisode:
    """Store that a zone isn't watered by need for some nights.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If it overlaps another stretch of the zone, or says what doesn't go together.
    ValidationError
        If a value can't be.
    """
    require_enter(by, company_id_of(zone))
    _one_after_the_other(zone.pk)
    return _write(ZoneEpisode(zone=zone), fields | {"by": by})


@transaction.atomic
def edit_episode(*, episode: ZoneEpisode, by: User, **fields: Any) -> ZoneEpisode:
    """Set a stretch right; it stays with its zone, and what isn't said stays as it is by now.

    Raises as ``begin_episode``, and ``Gone`` if the stretch was taken away meanwhile.
    """
    require_enter(by, company_id_of(episode))
    _one_after_the_other(episode.zone_id)
    now = held(episode, gone=TAKEN_AWAY)
    now.zone = episode.zone
    return _write(now, fields | {"by": by})


@transaction.atomic
def end_episode(*, episode: ZoneEpisode, by: User, on: dt.date) -> tuple[ZoneEpisode, bool]:
    """End a stretch so that tonight counts again; one that hasn't begun by then is taken away.

    Returns
    -------
    ZoneEpisode, bool
        The stretch, and whether it was still going.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    """
    require_enter(by, company_id_of(episode))
    now = held(episode, gone=TAKEN_AWAY)
    last = on - dt.timedelta(days=1)
    if now.effective_to is not None and now.effective_to <= last:
        return now, False
    if now.effective_from > last:
        now.delete()
        now.pk = None
        return now, True
    now.effective_to = last
    now.save(update_fields=["effective_to"])
    return now, True


def _one_after_the_other(zone_id: int) -> None:
    """Hold a zone, so that two at once can't both find the place free."""
    Zone.objects.select_for_update().get(pk=zone_id)


def _write(episode: ZoneEpisode, fields: dict[str, Any]) -> ZoneEpisode:
    for name, value in fields.items():
        if name not in (*SAID, "by") and getattr(episode, name) != value:
            raise Refused("This stays as it is.", field=name)
        setattr(episode, name, value)
    episode.clean_fields()
    _sensible(episode)
    if episode.kind == ZoneEpisode.Kind.LEACHING:
        episode.leaching_share = _share(episode)
    if episode.pk is None and (same := _same(episode)) is not None:
        return same
    if (other := _overlapping(episode)) is not None:
        until = f"to {other.effective_to}" if other.effective_to else "on, without an end"
        raise Refused(
            f"This zone is {other.get_kind_display()} from {other.effective_from} {until} already.",
            field="effective_from",
        )
    check(episode, once="effective_from")
    episode.save()
    return episode


def _sensible(episode: ZoneEpisode) -> None:
    today = clock.today(episode.zone.controller.site.timezone)
    first, last = episode.effective_from, episode.effective_to
    if not today - FURTHEST_BACK <= first <= today + FURTHEST_AHEAD:
        raise Refused("That is more than a year away.", field="effective_from")
    if last is not None and last < first:
        raise Refused("It ends before it begins.", field="effective_to")
    if last is not None and last > today + FURTHEST_AHEAD:
        raise Refused("That is more than a year away.", field="effective_to")
    if episode.permit_from and episode.permit_to and episode.permit_to < episode.permit_from:
        raise Refused("The permit ends before it begins.", field="permit_to")
    if (episode.runs_a_day is None) != (episode.run_minutes is None):
        field = "runs_a_day" if episode.runs_a_day is None else "run_minutes"
        raise Refused("Say both: how many runs a day, and how many minutes each.", field=field)
    if episode.runs_a_day and episode.run_minutes and episode.runs_a_day * episode.run_minutes > 24 * 60:
        raise Refused("So much doesn't fit into a day.", field="run_minutes")


def _share(episode: ZoneEpisode) -> float:
    """Return the share to leach: as worked out from the salt where it is known, else as said."""
    water, soil = episode.water_ds_m, episode.soil_ds_m
    if water is not None and soil is not None:
        found = float(leaching_requirement(water, soil)) if 5 * soil > water else 1.0
        if found > MOST_LEACHING:
            raise Refused(
                "With water so salty this soil can't be kept so fresh: over 60 % would have to run through.",
                field="water_ds_m",
            )
        return round(found, 4)
    if episode.leaching_share is None:
        raise Refused("Say the share to leach, or how salty water and soil are.", field="leaching_share")
    return episode.leaching_share


def _same(episode: ZoneEpisode) -> ZoneEpisode | None:
    """Return a stretch that says the same in everything: a form that was sent twice."""
    said = {name: getattr(episode, name) for name in SAID}
    return ZoneEpisode.objects.filter(zone=episode.zone_id, **said).first()


def _overlapping(episode: ZoneEpisode) -> ZoneEpisode | None:
    others = ZoneEpisode.objects.filter(zone=episode.zone_id).exclude(pk=episode.pk)
    others = others.filter(Q(effective_to=None) | Q(effective_to__gte=episode.effective_from))
    if episode.effective_to is not None:
        others = others.filter(effective_from__lte=episode.effective_to)
    found: ZoneEpisode | None = others.order_by("effective_from").first()
    return found
