"""Kinds of zones: what a row of the survey begins with."""

from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import Filters
from fleet.api.inputs import ModelInput, OwnRow
from fleet.api.rows import Created, Edited, Removed, Services
from fleet.models import Company, ZonePreset
from fleet.models.set_up import KIND_FIELDS
from fleet.services.presets import edit_preset, remove_preset, set_up_preset

EXAMPLE = {
    "name": "Lawn, rotors, loam, flat",
    "plant": "cool_turf",
    "head": "rotor",
    "soil": "loam",
    "sun": "full",
    "slope_percent": 1,
    "root_depth_mm": None,
    "precipitation_rate_mm_h": None,
    "uniformity": None,
    "wetted_share": 1,
}


class ZonePresetRow(serializers.ModelSerializer):
    """A kind of zone; null takes the value of our tables."""

    plant = serializers.CharField(read_only=True)
    head = serializers.CharField(read_only=True)
    soil = serializers.CharField(read_only=True)
    sun = serializers.CharField(read_only=True)

    class Meta:
        model = ZonePreset
        fields = ("id", "name", *KIND_FIELDS)
        read_only_fields = fields


class ZonePresetInput(ModelInput):
    """A kind of zone; say for which company only if you work for several."""

    company = OwnRow(model=Company, required=False)

    class Meta:
        model = ZonePreset
        fields = ("company", "name", *KIND_FIELDS)


class ZonePresetEditInput(ModelInput):
    """What is otherwise about a kind of zone."""

    class Meta:
        model = ZonePreset
        fields = ("name", *KIND_FIELDS)


@reading("zone presets", many="Your company's kinds of zones", one="One kind of zone", row=ZonePresetRow)
@writing(
    "zone presets",
    one="a kind of zone",
    row=ZonePresetRow,
    body=ZonePresetInput,
    edit_body=ZonePresetEditInput,
    example=EXAMPLE,
    edit={"soil": "clay_loam"},
    notes={"destroy": "Zones set up from it stay as they are."},
)
class ZonePresets(Created, Edited, Removed):
    """Kinds of zones of your company; to zones already set up nothing happens when one is changed."""

    queryset = ZonePreset.objects.none()
    serializer_class = ZonePresetRow
    filterset_class = Filters
    input_class = ZonePresetInput
    edit_class = ZonePresetEditInput
    row_name = "preset"
    services = Services(set_up_preset, edit_preset, remove_preset)

    def get_queryset(self) -> QuerySet[ZonePreset]:
        return ZonePreset.objects.visible_to(self.request.user).select_related("company")
