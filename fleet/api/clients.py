"""Clients and their sites. Read only."""

from django.db.models import QuerySet
from django_filters.rest_framework import CharFilter
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.viewsets import ReadOnlyModelViewSet

from fleet.api.filters import Filters, IdFilter
from fleet.models import Client, Site


class ClientRow(serializers.ModelSerializer):
    """One client; what the office notes about it stays in the office."""

    class Meta:
        model = Client
        fields = ("id", "name", "access_from")
        read_only_fields = fields


class SiteRow(serializers.ModelSerializer):
    """One site; heights in metres, the day its soil water account began."""

    client_name = serializers.StringRelatedField(source="client")

    class Meta:
        model = Site
        fields = (
            "id",
            "client",
            "client_name",
            "name",
            "address",
            "latitude",
            "longitude",
            "elevation_m",
            "timezone",
            "cell",
            "season",
            "watering_rule",
            "tariff",
            "balance_from",
        )
        read_only_fields = fields


class ClientFilters(Filters):
    q = CharFilter("name", lookup_expr="icontains")


class SiteFilters(Filters):
    client = IdFilter("client")
    season = CharFilter("season")
    q = CharFilter("name", lookup_expr="icontains")


@extend_schema_view(
    list=extend_schema(summary="Clients you may see", tags=["clients"]),
    retrieve=extend_schema(summary="One client", tags=["clients"]),
)
class Clients(ReadOnlyModelViewSet):
    """Clients of your company, or yourself if you are one and access is open."""

    queryset = Client.objects.none()
    serializer_class = ClientRow
    filterset_class = ClientFilters
    lookup_url_kwarg = "id"
    lookup_value_converter = "int"

    def get_queryset(self) -> QuerySet[Client]:
        return Client.objects.visible_to(self.request.user)


@extend_schema_view(
    list=extend_schema(summary="Sites you may see", tags=["sites"]),
    retrieve=extend_schema(summary="One site", tags=["sites"]),
)
class Sites(ReadOnlyModelViewSet):
    """Sites of your company, or your own if you are a client and access is open."""

    queryset = Site.objects.none()
    serializer_class = SiteRow
    filterset_class = SiteFilters
    lookup_url_kwarg = "id"
    lookup_value_converter = "int"

    def get_queryset(self) -> QuerySet[Site]:
        return Site.objects.visible_to(self.request.user).select_related("client")
