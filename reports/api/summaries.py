"""Monthly summaries, the same figures as were sent. Read only: they are approved on their page."""

from typing import Any

from django.db.models import Q, QuerySet
from django.http import Http404
from django_filters.rest_framework import ChoiceFilter
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import (
    OpenApiExample,
    extend_schema,
    extend_schema_field,
    extend_schema_serializer,
    extend_schema_view,
)
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.as_it_is import AsItIs
from fleet.api.documented import reading
from fleet.api.filters import DayFilter, Filters, IdFilter
from fleet.api.rows import Rows
from reports.models import Summary
from reports.selectors.summary.sent import sent_to
from reports.selectors.summary.states import WORDS, told_of

PDF = "application/pdf"
EXAMPLE = {
    "id": 31,
    "client": 7,
    "month": "2026-06-01",
    "state": "sent",
    "figures": {"kind": "estimated", "baseline": "found", "applied_l": 362250.0, "saved_l": 62920.0},
    "sent_at": "2026-07-02T16:05:11Z",
    "error": None,
}


class Paper(AsItIs):
    """A PDF as it is."""

    media_type = PDF
    format = "pdf"


@extend_schema_serializer(examples=[OpenApiExample("a client's June", EXAMPLE)])
class SummaryRow(serializers.ModelSerializer):
    """One month of one client. ``figures`` are in litres, mm, shares of one and the named currency."""

    state = serializers.SerializerMethodField()
    figures = serializers.DictField()
    sent_at = serializers.SerializerMethodField()
    error = serializers.SerializerMethodField()

    class Meta:
        model = Summary
        fields = ("id", "client", "month", "state", "figures", "sent_at", "error")
        read_only_fields = fields

    @extend_schema_field({"type": "string", "enum": sorted(WORDS)})
    def get_state(self, row: Summary) -> str:
        return told_of(row).state

    @extend_schema_field({"type": "string", "format": "date-time", "nullable": True})
    def get_sent_at(self, row: Summary) -> str | None:
        sent = told_of(row).sent_at
        return sent.isoformat() if sent is not None else None

    @extend_schema_field({"type": "string", "nullable": True})
    def get_error(self, row: Summary) -> str | None:
        return told_of(row).error or None


class SummaryFilters(Filters):
    client = IdFilter("client")
    month = DayFilter("month")
    stored = ChoiceFilter(field_name="state", choices=Summary.State.choices)


@reading("summaries", many="Monthly summaries, newest first", one="One summary", row=SummaryRow)
@extend_schema_view(
    paper=extend_schema(
        summary="The PDF as it was sent", tags=["summaries"], responses={(200, PDF): OpenApiTypes.BINARY}
    )
)
class Summaries(Rows):
    """What clients are told about a month: to the company all of them, to a reader what they were sent."""

    queryset = Summary.objects.none()
    serializer_class = SummaryRow
    filterset_class = SummaryFilters

    def get_queryset(self) -> QuerySet[Summary]:
        user: Any = self.request.user
        own = Q(pk__in=Summary.objects.visible_to(user).values("pk"))
        sent = Q(pk__in=sent_to(user).order_by().values("pk"))
        return Summary.objects.filter(own | sent).select_related("client").prefetch_related("letters")

    @action(detail=True, filterset_class=None, pagination_class=None, renderer_classes=[Paper])
    def paper(self, request: Request, id: int) -> Response:
        paper = getattr(self.get_object(), "paper", None)
        if paper is None:  # a draft has none yet
            raise Http404
        return Response(
            bytes(paper.content), headers={"Content-Disposition": 'inline; filename="summary.pdf"'}
        )
