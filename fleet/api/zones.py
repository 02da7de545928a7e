"""Zones as surveyed. Read only."""

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.viewsets import ReadOnlyModelViewSet

from fleet.api.filters import Filters, IdFilter
from fleet.models import Zone


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


class ZoneFilters(Filters):
    client = IdFilter("controller__site__client")
    site = IdFilter("controller__site")
    controller = IdFilter("controller")


@extend_schema_view(
    list=extend_schema(summary="Zones you may see", tags=["zones"]),
    retrieve=extend_schema(summary="One zone", tags=["zones"]),
)
class Zones(ReadOnlyModelViewSet):
    """Zones of your company, or of your sites if you are a client and access is open."""

    queryset = Zone.objects.none()
    serializer_class = ZoneRow
    filterset_class = ZoneFilters
    lookup_url_kwarg = "id"
    lookup_value_converter = "int"

    def get_queryset(self) -> QuerySet[Zone]:
        return Zone.objects.visible_to(self.request.user)
