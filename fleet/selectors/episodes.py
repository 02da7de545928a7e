"""Zones that aren't watered by need: which, until when, and what is to be keyed in for them."""

import datetime as dt
from collections.abc import Iterable
from typing import Any

from django.db.models import Q, QuerySet

from fleet.models import ZoneEpisode

RELATIONS = ("zone__controller__site__client",)


def going_on(on: dt.date) -> Q:
    """Return the condition that a stretch covers the coming night."""
    return Q(effective_from__lte=on) & (Q(effective_to=None) | Q(effective_to__gte=on))


def episodes_at(sites: Iterable[int], *, on: dt.date, ahead: int = 0) -> dict[int, list[ZoneEpisode]]:
    """Return the stretches that go on at some sites, or begin within some days, by site; one query."""
    ids = list(sites)
    if not ids:
        return {}
    coming = Q(effective_from__gt=on, effective_from__lte=on + dt.timedelta(days=ahead))
    rows = ZoneEpisode.objects.filter(going_on(on) | coming, zone__controller__site__in=ids)
    found: dict[int, list[ZoneEpisode]] = {}
    for episode in _in_order(rows):
        found.setdefault(episode.zone.controller.site_id, []).append(episode)
    return found


def away_in(company_id: int, *, on: dt.date) -> list[ZoneEpisode]:
    """Return the stretches that go on at a company's sites."""
    return list(_in_order(ZoneEpisode.objects.of_company(company_id).filter(going_on(on))))


def ended_last_night(user: Any, company_id: int, *, on: dt.date) -> list[ZoneEpisode]:
    """Return the stretches whose last night was the one before the morning of ``on``."""
    rows = ZoneEpisode.objects.visible_to(user).of_company(company_id)
    return list(_in_order(rows.filter(effective_to=on - dt.timedelta(days=1))))


def _in_order(rows: QuerySet[ZoneEpisode]) -> QuerySet[ZoneEpisode]:
    return rows.select_related(*RELATIONS).order_by(
        "zone__controller__site__client__name",
        "zone__controller__site__name",
        "zone__controller__name",
        "zone__number",
        "effective_from",
    )
