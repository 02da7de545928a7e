"""Water meters."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import Filters, IdFilter
from fleet.api.inputs import ModelInput, OwnRow
from fleet.api.rows import Created, Edited, Removed, Services
from fleet.models import Meter, Site, WaterSource, Zone
from fleet.services.meters import edit_meter, remove_meter, set_up_meter

EXAMPLE: dict[str, Any] = {
    "site": 12,
    "name": "Irrigation meter at the gate",
    "serial_number": "88120417",
    "unit": "kgal",
    "rolls_over_at": 1_000_000,
    "mixed": False,
    "source": None,
    "zones": [],
    "note": "",
}


class MeterRow(serializers.ModelSerializer):
    """A water meter; no ``zones``: it counts all that its source, or else its site, takes."""

    class Meta:
        model = Meter
        fields = ("id", *EXAMPLE)
        read_only_fields = fields


class MeterInput(ModelInput):
    """A meter; ``rolls_over_at`` is the first number its register can't show, in its unit."""

    site = OwnRow(model=Site)
    source = OwnRow(model=WaterSource, allow_null=True, required=False)  # type: ignore[assignment]
    zones = OwnRow(model=Zone, many=True, required=False)

    class Meta:
        model = Meter
        fields = tuple(EXAMPLE)


class MeterFilters(Filters):
    client = IdFilter("site__client")
    site = IdFilter("site")


@reading("meters", many="Water meters you may see", one="One water meter", row=MeterRow)
@writing(
    "meters",
    one="a water meter",
    row=MeterRow,
    body=MeterInput,
    example=EXAMPLE,
    edit={"mixed": True},
    notes={
        "partial_update": "The unit stays once there are readings or bills; the site stays always.",
        "destroy": "Only while it has neither readings nor bills nor hours.",
    },
)
class Meters(Created, Edited, Removed):
    """Water meters of a site."""

    queryset = Meter.objects.none()
    serializer_class = MeterRow
    filterset_class = MeterFilters
    input_class = MeterInput
    row_name = "meter"
    services = Services(set_up_meter, edit_meter, remove_meter)

    def get_queryset(self) -> QuerySet[Meter]:
        visible = Meter.objects.visible_to(self.request.user)
        return visible.select_related("site__client").prefetch_related("zones")
