"""Controllers: what each can hold and how a change reaches it. Read only."""

from django.db.models import QuerySet
from django_filters.rest_framework import CharFilter
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.viewsets import ReadOnlyModelViewSet

from fleet.api.filters import Filters, IdFilter
from fleet.models import Controller


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


class ControllerFilters(Filters):
    client = IdFilter("site__client")
    site = IdFilter("site")
    delivery = CharFilter("delivery")


@extend_schema_view(
    list=extend_schema(summary="Controllers you may see", tags=["controllers"]),
    retrieve=extend_schema(summary="One controller", tags=["controllers"]),
)
class Controllers(ReadOnlyModelViewSet):
    """Controllers of your company, or of your sites if you are a client and access is open."""

    queryset = Controller.objects.none()
    serializer_class = ControllerRow
    filterset_class = ControllerFilters
    lookup_url_kwarg = "id"
    lookup_value_converter = "int"

    def get_queryset(self) -> QuerySet[Controller]:
        return Controller.objects.visible_to(self.request.user).select_related("site__client")
