"""A change as it is read."""

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_field, extend_schema_serializer
from rest_framework import serializers

from scheduling.api.change_altered import ChangeAltered
from scheduling.api.change_example import ALTERED_DETAIL, ALTERED_ROW, DETAIL, ROW
from scheduling.models import Change, ChangeEvent


class Effect(serializers.Serializer):
    """Water and money against leaving things as they are, in the coming week; below zero is saved."""

    litres = serializers.FloatField(source="effect_litres", allow_null=True)
    money = serializers.FloatField(source="effect_money", allow_null=True)
    currency = serializers.CharField()


class Risk(serializers.Serializer):
    """How the plants fare, in words, if things are kept and if they are changed."""

    keep = serializers.CharField(source="risk_keep")
    change = serializers.CharField(source="risk_change")


@extend_schema_serializer(examples=[OpenApiExample("a percent", ROW), OpenApiExample("minutes", ALTERED_ROW)])
class ChangeRow(serializers.ModelSerializer):
    """A proposed percent, skip or alteration of a program, and what became of it.

    ``current``, ``proposed`` and ``decided`` are percents: of a skip only the first is known, of ``minutes``,
    ``days`` and ``program`` the first two are those of the program it hangs on, before and after, and
    ``detail`` says all that is keyed in. ``detail`` is null for other kinds.
    """

    program_name = serializers.StringRelatedField(source="program")
    client = serializers.IntegerField(source="program.controller.site.client_id", read_only=True)
    client_name = serializers.StringRelatedField(source="program.controller.site.client")
    site = serializers.IntegerField(source="program.controller.site_id", read_only=True)
    site_name = serializers.StringRelatedField(source="program.controller.site")
    controller = serializers.IntegerField(source="program.controller_id", read_only=True)
    controller_name = serializers.StringRelatedField(source="program.controller")
    effect = Effect(source="*", read_only=True)
    risk = Risk(source="*", read_only=True)
    deciding_zone_name = serializers.StringRelatedField(source="deciding_zone", allow_null=True)
    decided_by_name = serializers.StringRelatedField(source="decided_by", allow_null=True)
    hints = serializers.ListField(child=serializers.CharField(), read_only=True)
    detail = ChangeAltered(read_only=True, allow_null=True)

    class Meta:
        model = Change
        fields: tuple[str, ...] = (
            "id",
            "program",
            "program_name",
            "client",
            "client_name",
            "site",
            "site_name",
            "controller",
            "controller_name",
            "whole_controller",
            "kind",
            "status",
            "current",
            "proposed",
            "decided",
            "detail",
            "effective_from",
            "effective_to",
            "reason",
            "hints",
            "effect",
            "risk",
            "deciding_zone",
            "deciding_zone_name",
            "decided_by",
            "decided_by_name",
            "decided_at",
            "applied_at",
            "applied_on",
            "run",
            "automatic",
        )
        read_only_fields = fields


class Event(serializers.ModelSerializer):
    """One step in a change's life; ``by`` is null where the service did it itself."""

    to = serializers.CharField(source="to_status")
    by_name = serializers.StringRelatedField(source="by", allow_null=True)

    class Meta:
        model = ChangeEvent
        fields = ("to", "by", "by_name", "at", "value", "note")
        read_only_fields = fields

    def get_fields(self) -> dict[str, Any]:
        return {"from": serializers.CharField(source="from_status"), **super().get_fields()}


@extend_schema_serializer(
    examples=[OpenApiExample("a percent", DETAIL), OpenApiExample("minutes", ALTERED_DETAIL)]
)
class ChangeDetail(ChangeRow):
    """A change with what it was computed from and every step of its life."""

    inputs = serializers.SerializerMethodField()
    events = Event(many=True, read_only=True)

    class Meta(ChangeRow.Meta):
        fields = (*ChangeRow.Meta.fields, "inputs", "events")
        read_only_fields = fields

    @extend_schema_field({"type": "object", "additionalProperties": {}})
    def get_inputs(self, change: Change) -> dict[str, Any]:
        return change.inputs
