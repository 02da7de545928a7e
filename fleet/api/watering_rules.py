"""Watering rules."""

from typing import Any

from django.db.models import QuerySet
from django_filters.rest_framework import CharFilter
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import Filters, IdFilter
from fleet.api.inputs import ModelInput, OwnRow
from fleet.api.rows import Created, Edited, Removed, Services
from fleet.models import Company, Town, WateringRule
from fleet.services.rules import edit_rule, remove_rule, set_up_rule

FIELDS = (
    "name",
    "town",
    "stage",
    "addresses",
    "kind",
    "weekdays",
    "odd_weekdays",
    "even_weekdays",
    "parity",
    "days_per_week",
    "hours_from",
    "hours_to",
    "again_from",
    "again_to",
    "season_from",
    "season_to",
    "exempt_heads",
    "zone_minutes",
    "less_percent",
    "source",
)
EXAMPLE: dict[str, Any] = {
    "name": "Stage 2, homes",
    "town": None,
    "stage": None,
    "addresses": "any",
    "kind": "",
    "weekdays": "",
    "odd_weekdays": "mon thu",
    "even_weekdays": "tue fri",
    "parity": "any",
    "days_per_week": 2,
    "hours_from": None,
    "hours_to": "09:00:00",
    "again_from": "18:00:00",
    "again_to": None,
    "season_from": "05-01",
    "season_to": "09-30",
    "exempt_heads": "drip",
    "zone_minutes": 60,
    "less_percent": None,
    "source": "Town code 4.2",
}


class WateringRuleRow(serializers.ModelSerializer):
    """When sites may be watered. Hours of two spans with an open end reach to midnight, of one to noon."""

    addresses = serializers.CharField(read_only=True)
    parity = serializers.CharField(read_only=True)

    class Meta:
        model = WateringRule
        fields = ("id", *FIELDS)
        read_only_fields = fields


class WateringRuleInput(ModelInput):
    """A rule; one of a town has its stage. Say for which company only if you work for several."""

    company = OwnRow(model=Company, required=False)
    town = OwnRow(model=Town, required=False, allow_null=True)

    class Meta:
        model = WateringRule
        fields = ("company", *FIELDS)


class WateringRuleFilters(Filters):
    town = IdFilter("town")
    q = CharFilter("name", lookup_expr="icontains")


@reading("watering-rules", many="Watering rules you may see", one="One watering rule", row=WateringRuleRow)
@writing(
    "watering-rules",
    one="a watering rule",
    row=WateringRuleRow,
    body=WateringRuleInput,
    example=EXAMPLE,
    edit={"days_per_week": 3},
    notes={"destroy": "Only while no site is under it."},
)
class WateringRules(Created, Edited, Removed):
    """Rules of your company: your own notes of what towns and sources say."""

    queryset = WateringRule.objects.none()
    serializer_class = WateringRuleRow
    filterset_class = WateringRuleFilters
    input_class = WateringRuleInput
    row_name = "rule"
    services = Services(set_up_rule, edit_rule, remove_rule)
    one_by_one = True

    def get_queryset(self) -> QuerySet[WateringRule]:
        return WateringRule.objects.visible_to(self.request.user).select_related("town")
