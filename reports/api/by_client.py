"""The water of many clients over whole months, the figures of their page: estimated and measured apart."""

import re
from datetime import date
from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from common.months import month_before
from fleet.models import Client
from fleet.selectors.business_day import today_of
from reports.selectors.by_client.listing import totals_of
from reports.selectors.by_client.rows import Months, Water, lines_of

MONTH = re.compile(r"(?:19|20)[0-9]{2}-(?:0[1-9]|1[0-2])")
MOST_MONTHS = 36
EXAMPLE_WATER = {
    "from": "2026-06-01",
    "to": "2026-06-30",
    "estimated": {
        "applied_l": 504120.0,
        "baseline_l": 550312.0,
        "saved_l": 45697.0,
        "adequacy": 0.994,
        "budget_l": 611000.0,
        "of_budget": 0.825,
    },
    "metered": {
        "used_l": 541300.0,
        "known_days": 30,
        "days": 30,
        "mixed": False,
        "compared_days": 30,
        "compared_l": 541300.0,
        "explained_l": 504120.0,
        "unexplained_l": 37180.0,
        "of_budget": 0.886,
        "alerts": 1,
        "alerts_l": 21800.0,
    },
    "measured": {
        "baseline_l": 637900.0,
        "used_l": 541300.0,
        "saved_l": 96600.0,
        "uncertainty_l": 41200.0,
        "detected": True,
    },
}


class Asked(serializers.Serializer):
    """Whole months, both included."""

    to = serializers.RegexField(rf"^{MONTH.pattern}$", required=False)

    def get_fields(self) -> dict[str, Any]:
        first = serializers.RegexField(rf"^{MONTH.pattern}$", required=False)
        return {"from": first, **super().get_fields()}


class Estimated(serializers.Serializer):
    """From what was entered at the controllers, and the water budget of the same zones and days."""

    applied_l = serializers.FloatField(allow_null=True)
    baseline_l = serializers.FloatField(allow_null=True)
    saved_l = serializers.FloatField(allow_null=True)
    adequacy = serializers.FloatField(allow_null=True)
    budget_l = serializers.FloatField(allow_null=True)
    of_budget = serializers.FloatField(allow_null=True)


class Metered(serializers.Serializer):
    """What meters counted on the days they are known, of so many days of all sites.

    ``compared_l`` is what they counted, ``explained_l`` what was applied, and ``of_budget`` the share of the
    budget used, on days all of a site's water is metered and every zone counts.
    """

    used_l = serializers.FloatField(allow_null=True)
    known_days = serializers.IntegerField()
    days = serializers.IntegerField()
    mixed = serializers.BooleanField()
    compared_days = serializers.IntegerField()
    compared_l = serializers.FloatField()
    explained_l = serializers.FloatField()
    unexplained_l = serializers.FloatField(allow_null=True)
    of_budget = serializers.FloatField(allow_null=True)
    alerts = serializers.IntegerField()
    alerts_l = serializers.FloatField()


class MeasuredSaving(serializers.Serializer):
    """By whole bills that ended in these months; never added to what is estimated."""

    baseline_l = serializers.FloatField()
    used_l = serializers.FloatField()
    saved_l = serializers.FloatField()
    uncertainty_l = serializers.FloatField(allow_null=True)
    detected = serializers.BooleanField()


class WaterAnswer(serializers.Serializer):
    """The days of the months asked for, and each kind of figure for itself."""

    to = serializers.DateField()
    estimated = Estimated()
    metered = Metered()
    measured = MeasuredSaving(allow_null=True)

    def get_fields(self) -> dict[str, Any]:
        return {"from": serializers.DateField(), **super().get_fields()}


class ClientWater(WaterAnswer):
    """One client's water."""

    def get_fields(self) -> dict[str, Any]:
        return {"client": serializers.IntegerField(), **super().get_fields()}


class WaterTotals(WaterAnswer):
    """All clients' water, with how many of them each kind of figure holds."""

    def get_fields(self) -> dict[str, Any]:
        counts = {
            name: serializers.IntegerField()
            for name in ("clients", "clients_estimated", "clients_metered", "clients_measured")
        }
        return {**counts, **super().get_fields()}


PARAMETERS = [
    OpenApiParameter(name, {"type": "string", "pattern": rf"^{MONTH.pattern}$"}, description=words)
    for name, words in (
        ("from", "First month, YYYY-MM."),
        ("to", "Last month, YYYY-MM; without months the running one, three years at the most."),
    )
]


class WaterByClient(GenericAPIView):
    """Each client's water over whole months; for the company's own people."""

    serializer_class = ClientWater
    queryset = Client.objects.none()
    filter_backends = ()

    def get_queryset(self) -> QuerySet[Client]:
        return _clients(self.request)

    @extend_schema(
        operation_id="water_by_client_list",
        summary="Water of each client over whole months",
        tags=["water-by-client"],
        parameters=PARAMETERS,
        responses=ClientWater(many=True),
        examples=[OpenApiExample("a month", {"client": 7, **EXAMPLE_WATER}, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        months = _months(request)
        page = [client.pk for client in self.paginate_queryset(self.get_queryset()) or []]
        lines = sorted(
            lines_of(Client.objects.filter(pk__in=page), months), key=lambda line: page.index(line.client.pk)
        )
        return self.get_paginated_response(
            [{"client": line.client.pk, **as_answer(line.water, months)} for line in lines]
        )


class WaterByClientTotals(GenericAPIView):
    """What all clients come to over whole months; for the company's own people."""

    serializer_class = WaterTotals
    queryset = Client.objects.none()
    pagination_class = None
    filter_backends = ()

    @extend_schema(
        operation_id="water_by_client_totals_retrieve",
        summary="Water of all clients over whole months",
        tags=["water-by-client"],
        parameters=PARAMETERS,
        responses=WaterTotals,
    )
    def get(self, request: Request) -> Response:
        months = _months(request)
        total = totals_of(lines_of(_clients(request), months))
        return Response(
            {
                "clients": total.clients,
                "clients_estimated": total.saving,
                "clients_metered": total.metered,
                "clients_measured": total.measured,
                **as_answer(total.water, months),
            }
        )


def as_answer(water: Water, months: Months) -> dict[str, Any]:
    """Return figures by the names of the interface."""
    measured = water.measured
    return {
        "from": months.first.isoformat(),
        "to": months.through.isoformat(),
        "estimated": {
            "applied_l": water.applied_l,
            "baseline_l": water.baseline_l,
            "saved_l": water.saved_l,
            "adequacy": water.adequacy,
            "budget_l": water.budget_l,
            "of_budget": water.of_budget,
        },
        "metered": {
            "used_l": water.metered_l,
            "known_days": water.metered_days,
            "days": water.days,
            "mixed": water.mixed,
            "compared_days": water.compared_days,
            "compared_l": water.compared_l,
            "explained_l": water.explained_l,
            "unexplained_l": water.unexplained_l,
            "of_budget": water.metered_of_budget,
            "alerts": water.alerts,
            "alerts_l": water.alerts_l,
        },
        "measured": None
        if measured is None
        else {
            "baseline_l": measured.baseline_l,
            "used_l": measured.used_l,
            "saved_l": measured.saved_l,
            "uncertainty_l": measured.told_uncertainty_l,
            "detected": measured.detected,
        },
    }


def _clients(request: Request) -> QuerySet[Client]:
    user: Any = request.user
    found: QuerySet[Client] = Client.objects.filter(company__in=user.company_ids())
    return found


def _months(request: Request) -> Months:
    asked = Asked(data=request.query_params.dict())
    asked.is_valid(raise_exception=True)
    said = {name: date.fromisoformat(f"{text}-01") for name, text in asked.validated_data.items()}
    user: Any = request.user
    today = today_of(min(user.company_ids(), default=0))  # of none: the day in UTC
    newest = today.replace(day=1) if today.day > 1 else month_before(today)
    last = said.get("to") or said.get("from") or newest
    first = said.get("from") or last
    if first > last:
        raise serializers.ValidationError({"from": ["The first month lies after the last."]})
    if (last.year - first.year) * 12 + last.month - first.month >= MOST_MONTHS:
        raise serializers.ValidationError({"from": ["Ask for three years at the most."]})
    return Months(first, last)
