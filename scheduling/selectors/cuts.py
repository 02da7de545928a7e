"""Zones held below their need by a town's stage."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Q

from fleet.models import ZoneCut
from fleet.numerics.plants import PLANTS


@dataclass(frozen=True)
class PlantsHeld:
    """Zones of one kind of plants that are held at one share of their need, and why."""

    plants: str
    percent: int
    reason: str
    zones: int


def cuts_in_force(site_ids: Sequence[int], *, night: date) -> dict[int, ZoneCut]:
    """Return the cut of every zone of some sites that has one in a night; one query."""
    ahead = Q(effective_to=None) | Q(effective_to__gte=night)
    rows = ZoneCut.objects.filter(
        ahead, zone__controller__site__in=list(site_ids), effective_from__lte=night
    ).select_related("zone__controller")
    return {cut.zone_id: cut for cut in rows.order_by("effective_from")}


def by_plants(cuts: Iterable[ZoneCut]) -> list[PlantsHeld]:
    """Return what some cuts hold, those held lowest first, one line for each kind of plants and share."""
    found: dict[tuple[int, str, str], int] = {}
    for cut in cuts:
        plants = PLANTS[cut.zone.plant].name if cut.zone.plant in PLANTS else "Plants"
        key = round(100 * cut.factor), plants, cut.reason
        found[key] = found.get(key, 0) + 1
    return [PlantsHeld(p, percent, why, n) for (percent, p, why), n in sorted(found.items())]
