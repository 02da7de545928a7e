"""A site's water budget, for context beside its use."""

from datetime import date
from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from common import clock
from fleet.models import Site
from reports.api.savings import span
from reports.selectors.budget import site_budget

EXAMPLE = {
    "site": 12,
    "from": "2026-07-01",
    "to": "2026-07-31",
    "factor": 0.7,
    "allowed_l": 104160.0,
    "expected_l": 98020.5,
    "reference_et_mm": 186.0,
    "area_m2": 800.0,
    "special_m2": 0.0,
    "usual_days": 18,
    "left_out": [],
}


class Span(serializers.Serializer):
    """The days asked for, both included."""

    to = serializers.DateField(required=False)

    def get_fields(self) -> dict[str, Any]:
        return {"from": serializers.DateField(required=False), **super().get_fields()}


class BudgetAnswer(serializers.Serializer):
    """What would be allowed and what zones are to take; no permit. Days ahead go by usual weather."""

    site = serializers.IntegerField()
    to = serializers.DateField()
    factor = serializers.FloatField()
    allowed_l = serializers.FloatField(allow_null=True)
    expected_l = serializers.FloatField(allow_null=True)
    reference_et_mm = serializers.FloatField(allow_null=True)
    area_m2 = serializers.FloatField()
    special_m2 = serializers.FloatField()
    usual_days = serializers.IntegerField()
    left_out = serializers.ListField(child=serializers.CharField())

    def get_fields(self) -> dict[str, Any]:
        return {"from": serializers.DateField(), **super().get_fields()}


class SiteBudget(APIView):
    """The water budget of one site over some days; the month to date without dates."""

    @extend_schema(
        operation_id="sites_budget_retrieve",
        parameters=[
            OpenApiParameter("from", date, description="First day, YYYY-MM-DD."),
            OpenApiParameter("to", date, description="Last day, YYYY-MM-DD; it may lie ahead."),
        ],
        responses=BudgetAnswer,
        examples=[OpenApiExample("a month", EXAMPLE, response_only=True)],
    )
    def get(self, request: Request, id: int) -> Response:
        sites = Site.objects.visible_to(request.user).select_related("client__company", "cell")
        site = get_object_or_404(sites, pk=id)
        asked = Span(data=request.query_params.dict())
        asked.is_valid(raise_exception=True)
        today = clock.today(site.timezone)
        first, last = span(asked.validated_data, today=today)
        found = site_budget(site, first=first, last=last, on=today)
        return Response(
            {
                "site": site.pk,
                "from": found.first.isoformat(),
                "to": found.last.isoformat(),
                "factor": found.factor,
                "allowed_l": found.allowed_l,
                "expected_l": found.expected_l,
                "reference_et_mm": found.et_mm,
                "area_m2": found.area_m2,
                "special_m2": found.special_m2,
                "usual_days": found.usual_days,
                "left_out": found.left_out,
            }
        )
