"""Lasting corrections of what zones need."""

from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import DayFilter, Filters, IdFilter
from fleet.api.inputs import ModelInput, OwnRow
from fleet.api.rows import Created, Edited, Services
from fleet.models import Zone, ZoneTrim
from fleet.selectors.people import require_enter
from fleet.services.observing import edit_trim, set_trim

EXAMPLE = {
    "zone": 203,
    "factor": 0.9,
    "reason": "Sheltered by the new fence.",
    "effective_from": "2026-07-06",
}


class TrimRow(serializers.ModelSerializer):
    """By what a zone's need is multiplied from a day on, until the next one."""

    class Meta:
        model = ZoneTrim
        fields = ("id", "zone", "factor", "reason", "effective_from", "by")
        read_only_fields = fields


class TrimInput(ModelInput):
    """By what a zone's need is multiplied from a day on, and why; 1 takes an earlier one back."""

    zone = OwnRow(model=Zone)

    class Meta:
        model = ZoneTrim
        fields = ("zone", "factor", "reason", "effective_from")


class TrimFilters(Filters):
    client = IdFilter("zone__controller__site__client")
    site = IdFilter("zone__controller__site")
    controller = IdFilter("zone__controller")
    zone = IdFilter("zone")
    effective_from_after = DayFilter("effective_from", lookup_expr="gte")
    effective_from_before = DayFilter("effective_from", lookup_expr="lte")


@reading("trims", many="Zone trims you may see", one="One zone trim", row=TrimRow)
@writing(
    "trims",
    one="a zone trim",
    row=TrimRow,
    body=TrimInput,
    example=EXAMPLE,
    answer={"by": 4},
    edit={"factor": 0.95},
    removed=False,
    notes={"create": "One a zone and day; another opinion is an edit of the first."},
)
class Trims(Created, Edited):
    """What people corrected, zone by zone."""

    queryset = ZoneTrim.objects.none()
    serializer_class = TrimRow
    filterset_class = TrimFilters
    input_class = TrimInput
    row_name = "trim"
    services = Services(set_trim, edit_trim)
    require = staticmethod(require_enter)

    def get_queryset(self) -> QuerySet[ZoneTrim]:
        return ZoneTrim.objects.visible_to(self.request.user).select_related("zone__controller__site__client")
