"""Nightly runs, each with the counts and failures of your own company only. Read only."""

from typing import Any

from django.db.models import QuerySet
from django_filters.rest_framework import CharFilter
from drf_spectacular.utils import (
    OpenApiExample,
    extend_schema_field,
    extend_schema_serializer,
)
from rest_framework import serializers

from fleet.api.documented import reading
from fleet.api.filters import DayFilter, Filters
from fleet.api.rows import Rows
from scheduling.models import NightlyRun
from scheduling.selectors.nightly_runs import nightly_runs_for

EXAMPLE = {
    "id": 41,
    "date": "2026-07-06",
    "timezone": "America/Los_Angeles",
    "started_at": "2026-07-06T11:00:03Z",
    "finished_at": "2026-07-06T11:00:09Z",
    "counts": {"programs": 88, "proposed": 31, "unchanged": 52, "incomplete": 4, "failed": 1},
    "failures": [{"scope": "site", "id": 12, "code": "no_weather", "message": "No weather for four days."}],
}


class Failure(serializers.Serializer):
    """What went wrong for one row; the others went on."""

    scope = serializers.CharField()
    id = serializers.IntegerField(allow_null=True)
    code = serializers.CharField()
    message = serializers.CharField()


@extend_schema_serializer(examples=[OpenApiExample("a night", EXAMPLE)])
class NightlyRunRow(serializers.ModelSerializer):
    """One run; ``finished_at`` is null while it runs or if it was broken off."""

    counts = serializers.SerializerMethodField()
    failures = serializers.SerializerMethodField()

    class Meta:
        model = NightlyRun
        fields = ("id", "date", "timezone", "started_at", "finished_at", "counts", "failures")
        read_only_fields = fields

    def get_counts(self, run: Any) -> dict[str, int]:
        counts: dict[str, int] = {}
        for part in run.own_parts:  # several only for a person who works for several companies
            for name, number in part.counts.items():
                counts[name] = counts.get(name, 0) + number
        return counts

    @extend_schema_field(Failure(many=True))
    def get_failures(self, run: Any) -> list[dict[str, Any]]:
        return [failure for part in run.own_parts for failure in part.failures]


class NightlyRunFilters(Filters):
    date = DayFilter("date")
    timezone = CharFilter("timezone")


@reading("nightly runs", many="Nightly runs, newest first", one="One nightly run", row=NightlyRunRow)
class NightlyRuns(Rows):
    """What each night's run did for your company."""

    queryset = NightlyRun.objects.none()
    serializer_class = NightlyRunRow
    filterset_class = NightlyRunFilters

    def get_queryset(self) -> QuerySet[NightlyRun]:
        return nightly_runs_for(self.request.user)
