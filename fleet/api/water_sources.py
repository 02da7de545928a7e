"""Water sources."""

from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import Filters, IdFilter
from fleet.api.inputs import ModelInput, OwnRow
from fleet.api.rows import Created, Edited, Removed, Services
from fleet.models import Site, WaterSource
from fleet.services.water_sources import edit_water_source, remove_water_source, set_up_water_source

EXAMPLE = {
    "site": 9,
    "name": "Meter on Elm Street",
    "kind": "potable",
    "flow_l_min": 95,
    "static_pressure_kpa": 410,
}


class WaterSourceRow(serializers.ModelSerializer):
    """A tap, well or pump; the flow it gives, null where nobody has measured it."""

    class Meta:
        model = WaterSource
        fields = ("id", "site", "name", "kind", "flow_l_min", "static_pressure_kpa")
        read_only_fields = fields


class WaterSourceInput(ModelInput):
    """What a site is watered with."""

    site = OwnRow(model=Site)

    class Meta:
        model = WaterSource
        fields = ("site", "name", "kind", "flow_l_min", "static_pressure_kpa")


class WaterSourceFilters(Filters):
    client = IdFilter("site__client")
    site = IdFilter("site")


@reading("water sources", many="Water sources you may see", one="One water source", row=WaterSourceRow)
@writing(
    "water sources",
    one="a water source",
    row=WaterSourceRow,
    body=WaterSourceInput,
    example=EXAMPLE,
    edit={"flow_l_min": 88},
)
class WaterSources(Created, Edited, Removed):
    """Water sources of your company's sites, or of your own if you are a client and access is open."""

    queryset = WaterSource.objects.none()
    serializer_class = WaterSourceRow
    filterset_class = WaterSourceFilters
    input_class = WaterSourceInput
    row_name = "source"
    services = Services(set_up_water_source, edit_water_source, remove_water_source)

    def get_queryset(self) -> QuerySet[WaterSource]:
        return WaterSource.objects.visible_to(self.request.user).select_related("site__client")
