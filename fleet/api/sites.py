"""Sites."""

from django.db.models import QuerySet
from django_filters.rest_framework import CharFilter
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import Filters, IdFilter
from fleet.api.inputs import ModelInput, OwnRow
from fleet.api.rows import Created, Edited, Removed, Services
from fleet.models import Client, Site, Tariff, Town, WateringRule
from fleet.services.sites import edit_site, remove_site, set_up_site

EXAMPLE = {
    "client": 7,
    "name": "Main grounds",
    "address": "",
    "latitude": 39.21,
    "longitude": -121.06,
    "elevation_m": 310,
    "timezone": "America/Los_Angeles",
    "season": "open",
}


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
            "elevation_basis",
            "timezone",
            "cell",
            "season",
            "watering_rule",
            "town",
            "kind",
            "house_number",
            "tariff",
            "balance_from",
        )
        read_only_fields = fields


class SiteInput(ModelInput):
    """A site; its place decides which weather it shares."""

    client = OwnRow(model=Client)
    watering_rule = OwnRow(model=WateringRule, required=False, allow_null=True)
    town = OwnRow(model=Town, required=False, allow_null=True)
    tariff = OwnRow(model=Tariff, required=False, allow_null=True)

    class Meta:
        model = Site
        fields = (
            "client",
            "name",
            "address",
            "latitude",
            "longitude",
            "elevation_m",
            "elevation_basis",
            "timezone",
            "season",
            "watering_rule",
            "town",
            "kind",
            "house_number",
            "tariff",
        )


class SiteFilters(Filters):
    client = IdFilter("client")
    season = CharFilter("season")
    q = CharFilter("name", lookup_expr="icontains")


@reading("sites", many="Sites you may see", one="One site", row=SiteRow)
@writing(
    "sites",
    one="a site",
    row=SiteRow,
    body=SiteInput,
    example=EXAMPLE,
    answer={
        "client_name": "Example School",
        "cell": 3,
        "watering_rule": None,
        "town": None,
        "kind": "",
        "house_number": None,
        "elevation_basis": "measured",
        "tariff": None,
        "balance_from": None,
    },
    edit={"season": "closing"},
    notes={"create": "Its weather comes with the next night."},
)
class Sites(Created, Edited, Removed):
    """Sites of your company, or your own if you are a client and access is open."""

    queryset = Site.objects.none()
    serializer_class = SiteRow
    filterset_class = SiteFilters
    input_class = SiteInput
    row_name = "site"
    services = Services(set_up_site, edit_site, remove_site)

    def get_queryset(self) -> QuerySet[Site]:
        return Site.objects.visible_to(self.request.user).select_related("client")
