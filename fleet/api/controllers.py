"""Controllers: what each can hold and how a change reaches it."""

from django.db.models import QuerySet
from django_filters.rest_framework import CharFilter
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import Filters, IdFilter
from fleet.api.inputs import ModelInput, OwnRow, Whole
from fleet.api.rows import Created, Edited, Removed, Services
from fleet.models import Controller, Site, WaterSource
from fleet.services.controllers import edit_controller, remove_controller, set_up_controller

MOST = 999  # zones, programs or starts: no controller counts further
EXAMPLE = {
    "site": 9,
    "name": "Pump house",
    "zone_capacity": 16,
    "program_capacity": 4,
    "percent_step": 10,
    "percent_max": 200,
    "cycle_and_soak": True,
    "rain_sensor": True,
    "delivery": "office",
}


class ControllerRow(serializers.ModelSerializer):
    """One controller."""

    site_name = serializers.StringRelatedField(source="site")
    client = serializers.IntegerField(source="site.client_id", read_only=True)
    client_name = serializers.StringRelatedField(source="site.client")

    class Meta:
        model = Controller
        fields = (
            "id",
            "name",
            "site",
            "site_name",
            "client",
            "client_name",
            "serial_number",
            "zone_capacity",
            "program_capacity",
            "starts_per_program",
            "percent_step",
            "percent_max",
            "percent_scope",
            "minute_step",
            "cycle_and_soak",
            "zones_at_once",
            "master_valve",
            "flow_sensor",
            "rain_sensor",
            "freeze_sensor",
            "delivery",
            "source",
        )
        read_only_fields = fields


class ControllerInput(ModelInput):
    """A controller as its manual has it; what isn't said is as most controllers are."""

    site = OwnRow(model=Site)
    source = OwnRow(  # type: ignore[assignment]  # a field of this name, not where one is read from
        model=WaterSource, required=False, allow_null=True
    )
    zone_capacity = Whole(required=False, min_value=1, max_value=MOST)
    program_capacity = Whole(required=False, min_value=1, max_value=MOST)
    starts_per_program = Whole(required=False, min_value=1, max_value=MOST)
    zones_at_once = Whole(required=False, min_value=1, max_value=MOST)

    class Meta:
        model = Controller
        fields = tuple(
            name
            for name in ControllerRow.Meta.fields
            if name not in ("id", "site_name", "client", "client_name")
        )


class ControllerFilters(Filters):
    client = IdFilter("site__client")
    site = IdFilter("site")
    delivery = CharFilter("delivery")


@reading("controllers", many="Controllers you may see", one="One controller", row=ControllerRow)
@writing(
    "controllers",
    one="a controller",
    row=ControllerRow,
    body=ControllerInput,
    example=EXAMPLE,
    edit={"delivery": "on_site"},
    notes={"create": "`delivery` is `office` or `on_site`: where a decided change is entered."},
)
class Controllers(Created, Edited, Removed):
    """Controllers of your company, or of your sites if you are a client and access is open."""

    queryset = Controller.objects.none()
    serializer_class = ControllerRow
    filterset_class = ControllerFilters
    input_class = ControllerInput
    row_name = "controller"
    services = Services(set_up_controller, edit_controller, remove_controller)

    def get_queryset(self) -> QuerySet[Controller]:
        return Controller.objects.visible_to(self.request.user).select_related("site__client")
