"""Zones as surveyed."""

from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import Filters, IdFilter
from fleet.api.inputs import ModelInput, OwnRow, Word
from fleet.api.rows import Created, Edited, Removed, Services
from fleet.models import Controller, Zone
from fleet.models.zones import BASES, SURVEYED
from fleet.services.zones import edit_zone, remove_zone, set_up_zone

EXAMPLE = {
    "controller": 14,
    "number": 3,
    "name": "South bank",
    "plant": "cool_turf",
    "head": "rotor",
    "soil": "loam",
    "sun": "full",
    "slope_percent": 4,
    "area_m2": 240,
    "precipitation_rate_mm_h": 12.5,
    "uniformity": 0.68,
    "basis": {"area_m2": "measured", "precipitation_rate_mm_h": "table"},
}


class ZoneRow(serializers.ModelSerializer):
    """One zone; SI units, ratios as 0.85, null or empty where nobody has looked."""

    plant = serializers.CharField(read_only=True)
    head = serializers.CharField(read_only=True)
    soil = serializers.CharField(read_only=True)
    sun = serializers.CharField(read_only=True)
    basis = serializers.DictField(child=serializers.CharField(), read_only=True)

    class Meta:
        model = Zone
        fields = (
            "id",
            "controller",
            "number",
            "name",
            "plant",
            "head",
            "soil",
            "slope_percent",
            "sun",
            "area_m2",
            "root_depth_mm",
            "wetted_share",
            "precipitation_rate_mm_h",
            "uniformity",
            "flow_l_min",
            "basis",
        )
        read_only_fields = fields


class ZoneInput(ModelInput):
    """A zone as surveyed; leave out what nobody has looked at. ``basis`` says how each value is known."""

    controller = OwnRow(model=Controller)
    basis = serializers.DictField(child=Word(choices=BASES), required=False)

    class Meta:
        model = Zone
        fields = ("controller", "number", "name", *SURVEYED, "basis")


class ZoneFilters(Filters):
    client = IdFilter("controller__site__client")
    site = IdFilter("controller__site")
    controller = IdFilter("controller")


@reading("zones", many="Zones you may see", one="One zone", row=ZoneRow)
@writing(
    "zones",
    one="a zone",
    row=ZoneRow,
    body=ZoneInput,
    example=EXAMPLE,
    edit={"uniformity": 0.72},
)
class Zones(Created, Edited, Removed):
    """Zones of your company, or of your sites if you are a client and access is open."""

    queryset = Zone.objects.none()
    serializer_class = ZoneRow
    filterset_class = ZoneFilters
    input_class = ZoneInput
    row_name = "zone"
    services = Services(set_up_zone, edit_zone, remove_zone)

    def get_queryset(self) -> QuerySet[Zone]:
        return Zone.objects.visible_to(self.request.user).select_related("controller__site__client")
