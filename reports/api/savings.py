"""A client's savings, the same figures as its page shows: estimated or measured, never both in one."""

from datetime import date
from math import isfinite
from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from common import clock
from fleet.models import Client
from reports.selectors.baselines import FOUND, MONTHLY
from reports.selectors.measured import MEASURED, MeasuredSavings, measured_savings
from reports.selectors.measured_worth import measured_worth
from reports.selectors.savings import ESTIMATED, Savings, client_savings

EXAMPLE = {
    "client": 7,
    "from": "2026-07-01",
    "to": "2026-07-13",
    "kind": "estimated",
    "baseline": "found",
    "applied_l": 504120.0,
    "baseline_l": 550312.0,
    "saved_l": 45697.0,
    "withheld_l": 496.0,
    "uncertainty_l": None,
    "detected": None,
    "money": 84.08,
    "currency": "USD",
    "money_counted": [],
    "budget_l": 611000.0,
    "adequacy": 0.999,
    "left_out": [],
}
MEASURED_EXAMPLE = EXAMPLE | {
    "from": "2026-06-01",
    "to": "2026-06-30",
    "kind": "measured",
    "baseline": "earlier bills",
    "applied_l": 402100.0,
    "baseline_l": 498700.0,
    "saved_l": 96600.0,
    "withheld_l": 0.0,
    "uncertainty_l": 41200.0,
    "detected": True,
    "money": 177.74,
    "money_counted": ["at the flat price of Town"],
    "budget_l": None,
    "adequacy": None,
}
BILLS = "earlier bills"
LONGEST_DAYS = 1100


class Asked(serializers.Serializer):
    """The days asked for, both included, the kind, and the baseline of what is estimated."""

    to = serializers.DateField(required=False)
    kind = serializers.ChoiceField(choices=[ESTIMATED, MEASURED], default=ESTIMATED)
    baseline = serializers.ChoiceField(choices=[FOUND, MONTHLY], default=FOUND)

    def get_fields(self) -> dict[str, Any]:
        return {"from": serializers.DateField(required=False), **super().get_fields()}


class Answer(serializers.Serializer):
    """Litres, money at the sites' prices, the water budget for context, how well plants' need was met.

    Measured: ``applied_l`` is what meters counted in whole bills that ended in the days asked for, ``from``
    and ``to`` are the days of those bills, the true saving lies within ``uncertainty_l`` nine times in ten,
    and ``detected`` says whether at least half of it is sure; only then there is money. Null where
    nothing is measured; ``left_out`` says why.
    """

    client = serializers.IntegerField()
    to = serializers.DateField()
    kind = serializers.CharField()
    baseline = serializers.ChoiceField(choices=[FOUND, MONTHLY, BILLS])
    applied_l = serializers.FloatField(allow_null=True)
    baseline_l = serializers.FloatField(allow_null=True)
    saved_l = serializers.FloatField(allow_null=True)
    withheld_l = serializers.FloatField()
    uncertainty_l = serializers.FloatField(allow_null=True)
    detected = serializers.BooleanField(allow_null=True)
    money = serializers.FloatField(allow_null=True)
    currency = serializers.CharField()
    money_counted = serializers.ListField(child=serializers.CharField())
    budget_l = serializers.FloatField(allow_null=True)
    adequacy = serializers.FloatField(allow_null=True)
    left_out = serializers.ListField(child=serializers.CharField())

    def get_fields(self) -> dict[str, Any]:
        return {"from": serializers.DateField(), **super().get_fields()}


class ClientSavings(APIView):
    """Savings of one client over some days, of one kind; the month to date without dates."""

    @extend_schema(
        operation_id="clients_savings_retrieve",
        parameters=[
            OpenApiParameter("from", date, description="First day, YYYY-MM-DD."),
            OpenApiParameter("to", date, description="Last day, YYYY-MM-DD."),
            OpenApiParameter(
                "kind",
                str,
                enum=[ESTIMATED, MEASURED],
                description="By settings and weather, or by meters.",
            ),
            OpenApiParameter("baseline", str, enum=[FOUND, MONTHLY], description="Against what."),
        ],
        responses=Answer,
        examples=[
            OpenApiExample("the month to date", EXAMPLE, response_only=True),
            OpenApiExample("measured", MEASURED_EXAMPLE, response_only=True),
        ],
    )
    def get(self, request: Request, pk: int) -> Response:
        client = get_object_or_404(Client.objects.visible_to(request.user).select_related("company"), pk=pk)
        asked = Asked(data=request.query_params.dict())  # as a form, an empty date would count as none
        asked.is_valid(raise_exception=True)
        today = clock.today(timezone_of(client))
        first, last = span(asked.validated_data, today=today)
        if asked.validated_data["kind"] == MEASURED:
            return Response(
                as_measured(
                    client,
                    measured_savings(client, first=first, last=last, on=today),
                    first=first,
                    last=last,
                )
            )
        savings = client_savings(client, first=first, last=last, on=today)
        return Response(as_answer(client, savings, baseline=asked.validated_data["baseline"]))


def timezone_of(client: Client) -> str:
    """Return the timezone of a client's first site."""
    return client.sites.values_list("timezone", flat=True).order_by("pk").first() or "UTC"


def span(asked: dict[str, Any], *, today: date) -> tuple[date, date]:
    """Return the first and last day asked for; without them the month to date."""
    last = asked.get("to") or today
    first = asked.get("from") or last.replace(day=1)
    if first > last:
        raise serializers.ValidationError({"from": ["The first day lies after the last."]})
    if (last - first).days > LONGEST_DAYS:
        raise serializers.ValidationError({"from": ["Ask for three years at the most."]})
    return first, last


def as_answer(client: Client, savings: Savings, *, baseline: str) -> dict[str, Any]:
    """Return the figures by the names of the interface."""
    versus = savings.against(baseline)
    return {
        "client": client.pk,
        "from": savings.first.isoformat(),
        "to": savings.last.isoformat(),
        "kind": savings.kind,
        "baseline": baseline,
        "applied_l": savings.applied_l,
        "baseline_l": versus.baseline_l,
        "saved_l": versus.saved_l,
        "withheld_l": versus.withheld_l,
        "uncertainty_l": None,
        "detected": None,
        "money": float(versus.money) if versus.money is not None else None,
        "currency": savings.currency,
        "money_counted": list(versus.counted),
        "budget_l": savings.budget_l,
        "adequacy": savings.adequacy,
        "left_out": savings.left_out,
    }


def as_measured(
    client: Client, savings: MeasuredSavings | None, *, first: date, last: date
) -> dict[str, Any]:
    """Return measured figures by the names of the interface."""
    told = {
        "client": client.pk,
        "from": first.isoformat(),
        "to": last.isoformat(),
        "kind": MEASURED,
        "baseline": BILLS,
        **dict.fromkeys(("applied_l", "baseline_l", "saved_l", "uncertainty_l", "detected")),
        "withheld_l": 0.0,
        "money": None,
        "currency": client.company.currency,
        "money_counted": [],
        "budget_l": None,
        "adequacy": None,
        "left_out": ["no meter has a baseline of earlier bills and a bill since, in these days"],
    }
    if savings is None:
        return told
    money, currency, counted = measured_worth(savings)
    return told | {
        "from": savings.first.isoformat(),
        "to": savings.last.isoformat(),
        "applied_l": savings.used_l,
        "baseline_l": savings.baseline_l,
        "saved_l": savings.saved_l,
        "uncertainty_l": savings.uncertainty_l if isfinite(savings.uncertainty_l) else None,
        "detected": savings.detected,
        "money": None if money is None else float(money),
        "currency": currency,
        "money_counted": counted,
        "left_out": savings.left_out,
    }
