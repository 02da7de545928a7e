"""Clients."""

from typing import Any

from django.db.models import QuerySet
from django_filters.rest_framework import CharFilter
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import Filters
from fleet.api.inputs import ModelInput, OwnRow
from fleet.api.rows import Created, Edited, Removed, Services
from fleet.models import Client, Company
from fleet.selectors.people import may_set_up
from fleet.services.clients import edit_client, remove_client, set_up_client

EXAMPLE = {"name": "Example School", "email": "grounds@example.com", "access_from": "2026-05-01"}
OFFICE_ALONE = ("email", "phone", "note")


class ClientRow(serializers.ModelSerializer):
    """One client; what the office notes about it, and how it reaches it, stays in the office."""

    email = serializers.CharField(required=False)
    phone = serializers.CharField(required=False)
    note = serializers.CharField(required=False)

    class Meta:
        model = Client
        fields = ("id", "name", "access_from", *OFFICE_ALONE)
        read_only_fields = ("name", "access_from")

    def to_representation(self, instance: Client) -> dict[str, Any]:
        row = super().to_representation(instance)
        if may_set_up(self.context["request"].user, instance.company_id):
            return row
        return {name: value for name, value in row.items() if name not in OFFICE_ALONE}


class ClientInput(ModelInput):
    """A client; say for which company only if you work for several."""

    company = OwnRow(model=Company, required=False)

    class Meta:
        model = Client
        fields = ("company", "name", "email", "phone", "access_from", "note")
        extra_kwargs = {"note": {"max_length": 10_000}}


class ClientFilters(Filters):
    q = CharFilter("name", lookup_expr="icontains")


@reading("clients", many="Clients you may see", one="One client", row=ClientRow)
@writing(
    "clients",
    one="a client",
    row=ClientRow,
    body=ClientInput,
    example=EXAMPLE,
    answer={"phone": "", "note": ""},
    edit={"phone": "+1 530 555 0100"},
)
class Clients(Created, Edited, Removed):
    """Clients of your company, or yourself if you are one and access is open."""

    queryset = Client.objects.none()
    serializer_class = ClientRow
    filterset_class = ClientFilters
    input_class = ClientInput
    row_name = "client"
    services = Services(set_up_client, edit_client, remove_client)

    def get_queryset(self) -> QuerySet[Client]:
        return Client.objects.visible_to(self.request.user)
