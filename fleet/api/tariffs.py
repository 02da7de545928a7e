"""What water costs: prices and what bills are made of."""

from typing import Any

from django.db.models import QuerySet
from django_filters.rest_framework import CharFilter
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import Filters
from fleet.api.inputs import Input, ModelInput, OwnRow, Trimmed
from fleet.api.rows import Created, Edited, Removed, Services
from fleet.models import Company, Tariff
from fleet.services.tariffs import edit_tariff, remove_tariff, set_up_tariff

FIELDS = (
    "name",
    "price_per_m3",
    "currency",
    "unit",
    "fixed_charge",
    "period",
    "prorated",
    "whole_units",
    "tiers_in",
    "budget_factor",
    "tiers",
)
EXAMPLE: dict[str, Any] = {
    "name": "Vale Water, gardens",
    "price_per_m3": "2.1000",
    "currency": "USD",
    "unit": "ccf",
    "fixed_charge": "14.50",
    "period": "month",
    "prorated": False,
    "whole_units": False,
    "tiers_in": "units",
    "budget_factor": 0.8,
    "tiers": [
        {"above": "0", "price": "2.4", "season_from": "", "season_to": ""},
        {"above": "12", "price": "5.95", "season_from": "", "season_to": ""},
    ],
}


class TierRow(serializers.Serializer):
    """Water above an amount costs a price a unit, all year or in a season."""

    above = serializers.DecimalField(max_digits=12, decimal_places=3)
    price = serializers.DecimalField(max_digits=12, decimal_places=6)
    season_from = serializers.CharField(allow_blank=True)
    season_to = serializers.CharField(allow_blank=True)

    def to_representation(self, instance: Any) -> Any:
        return instance


class TierInput(Input):
    """A tier; a season is two days of the year such as 05-01."""

    above = serializers.DecimalField(max_digits=12, decimal_places=3, min_value=0)
    price = serializers.DecimalField(max_digits=12, decimal_places=6, min_value=0)
    season_from = Trimmed(required=False, allow_blank=True, max_length=5)
    season_to = Trimmed(required=False, allow_blank=True, max_length=5)


class TariffRow(serializers.ModelSerializer):
    """What water costs. Without tiers the price is flat; with them savings count at the tiers they avoid."""

    unit = serializers.CharField(read_only=True)
    period = serializers.CharField(read_only=True)
    tiers_in = serializers.CharField(read_only=True)
    tiers = TierRow(many=True, read_only=True)

    class Meta:
        model = Tariff
        fields = ("id", *FIELDS)
        read_only_fields = fields


class TariffInput(ModelInput):
    """A tariff. Say for which company only if you work for several."""

    company = OwnRow(model=Company, required=False)
    tiers = TierInput(many=True, required=False)

    class Meta:
        model = Tariff
        fields = ("company", *FIELDS)


class TariffFilters(Filters):
    q = CharFilter("name", lookup_expr="icontains")


@reading("tariffs", many="Prices of water you may see", one="One price of water", row=TariffRow)
@writing(
    "tariffs",
    one="a price of water",
    row=TariffRow,
    body=TariffInput,
    example=EXAMPLE,
    edit={"price_per_m3": "2.2000"},
    notes={"destroy": "Only while no site uses it."},
)
class Tariffs(Created, Edited, Removed):
    """Prices of water of your company; a new one revalues what was counted before."""

    queryset = Tariff.objects.none()
    serializer_class = TariffRow
    filterset_class = TariffFilters
    input_class = TariffInput
    row_name = "tariff"
    services = Services(set_up_tariff, edit_tariff, remove_tariff)
    one_by_one = True

    def get_queryset(self) -> QuerySet[Tariff]:
        return Tariff.objects.visible_to(self.request.user)
