"""Zones that aren't watered by need."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import DayFilter, Filters, IdFilter
from fleet.api.inputs import ModelInput, OwnRow
from fleet.api.rows import Created, Edited, Services
from fleet.models import Zone, ZoneEpisode
from fleet.selectors.people import require_enter
from fleet.services.episodes import SAID, begin_episode, edit_episode

FIELDS = ("zone", *SAID)
EXAMPLE: dict[str, Any] = {
    "zone": 203,
    "kind": "grow-in",
    "effective_from": "2026-07-06",
    "effective_to": "2026-07-26",
    "permit": "W-118",
    "permit_from": "2026-07-06",
    "permit_to": "2026-08-04",
    "permit_hours_from": "06:00:00",
    "permit_hours_to": "18:00:00",
    "runs_a_day": 4,
    "run_minutes": 6,
    "leaching_share": None,
    "water_ds_m": None,
    "soil_ds_m": None,
    "note": "Sod along the drive.",
}


class EpisodeRow(serializers.ModelSerializer):
    """Nights, both ends included, in which a zone isn't watered by need; open without ``effective_to``."""

    kind = serializers.CharField(read_only=True)

    class Meta:
        model = ZoneEpisode
        fields = ("id", *FIELDS, "by")
        read_only_fields = fields


class EpisodeInput(ModelInput):
    """A stretch in which a zone leaves the percent search and the savings. It ends by ``effective_to``.

    ``leaching_share`` follows from the salt of water and soil where both are given.
    """

    zone = OwnRow(model=Zone)

    class Meta:
        model = ZoneEpisode
        fields = FIELDS


class EpisodeFilters(Filters):
    client = IdFilter("zone__controller__site__client")
    site = IdFilter("zone__controller__site")
    controller = IdFilter("zone__controller")
    zone = IdFilter("zone")
    effective_from_after = DayFilter("effective_from", lookup_expr="gte")
    effective_from_before = DayFilter("effective_from", lookup_expr="lte")


@reading(
    "episodes", many="Stretches you may see of zones not watered by need", one="One stretch", row=EpisodeRow
)
@writing(
    "episodes",
    one="a stretch of nights",
    row=EpisodeRow,
    body=EpisodeInput,
    example=EXAMPLE,
    answer={"by": 4},
    edit={"effective_to": "2026-07-20"},
    removed=False,
    notes={"create": "Two of one zone never overlap.", "partial_update": "Ended by its `effective_to`."},
)
class Episodes(Created, Edited):
    """Growing in, overseeding, hand watering, off, leaching: zone by zone."""

    queryset = ZoneEpisode.objects.none()
    serializer_class = EpisodeRow
    filterset_class = EpisodeFilters
    input_class = EpisodeInput
    row_name = "episode"
    services = Services(begin_episode, edit_episode)
    require = staticmethod(require_enter)

    def get_queryset(self) -> QuerySet[ZoneEpisode]:
        visible = ZoneEpisode.objects.visible_to(self.request.user)
        return visible.select_related("zone__controller__site__client")
