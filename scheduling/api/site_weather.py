"""A site's daily weather over REST."""

from datetime import date, timedelta
from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from common import clock
from fleet.api.inputs import Day as Date
from fleet.models import Site
from scheduling.selectors.site_weather import Day, weather_days
from weather.models import ForecastDay, Quality

BACK, AHEAD = timedelta(days=30), timedelta(days=16)
LONGEST = timedelta(days=1100)
EXAMPLE = {
    "site": 9,
    "from": "2026-07-05",
    "to": "2026-07-06",
    "days": [
        {
            "date": "2026-07-05",
            "kind": "observed",
            "t_min_c": 13.4,
            "t_max_c": 31.2,
            "rain_mm": 0.0,
            "reference_et_mm": 6.7,
            "method": "penman-monteith",
            "quality": "analysis",
            "source": "open-meteo",
            "issued_at": None,
        }
    ],
}


class Asked(serializers.Serializer):
    """The days asked for, both included."""

    to = Date(required=False)

    def get_fields(self) -> dict[str, Any]:
        return {"from": Date(required=False), **super().get_fields()}


class DayRow(serializers.Serializer):
    """One day; null is unknown, never zero. ``issued_at`` says when a day to come was foreseen."""

    date = serializers.DateField()
    kind = serializers.ChoiceField(choices=["observed", "forecast"])
    t_min_c = serializers.FloatField(allow_null=True)
    t_max_c = serializers.FloatField(allow_null=True)
    rain_mm = serializers.FloatField(allow_null=True)
    reference_et_mm = serializers.FloatField(allow_null=True)
    method = serializers.CharField()
    quality = serializers.ChoiceField(choices=Quality.choices)
    source = serializers.CharField()  # type: ignore[assignment]  # a field, not where one is read from
    issued_at = serializers.DateTimeField(allow_null=True)


class WeatherRow(serializers.Serializer):
    """A site's days, oldest first; reference ET is of short grass, with the method it was computed by."""

    site = serializers.IntegerField()
    to = serializers.DateField()
    days = DayRow(many=True)

    def get_fields(self) -> dict[str, Any]:
        return {"from": serializers.DateField(), **super().get_fields()}


class SiteWeather(APIView):
    """What the sky did at a site and what it is said to do."""

    @extend_schema(
        operation_id="sites_weather_retrieve",
        tags=["sites"],
        parameters=[
            OpenApiParameter("from", date, description="First day; a month before today without it."),
            OpenApiParameter("to", date, description="Last day; as far as is foreseen without it."),
        ],
        responses=WeatherRow,
        examples=[OpenApiExample("a day", EXAMPLE, response_only=True)],
    )
    def get(self, request: Request, id: int) -> Response:
        site = get_object_or_404(Site.objects.visible_to(request.user), pk=id)
        asked = Asked(data=request.query_params.dict())
        asked.is_valid(raise_exception=True)
        today = clock.today(site.timezone)
        first, last = span(asked.validated_data, today=today)
        days = [as_row(day) for day in weather_days(site, first=first, last=last, on=today)]
        answer = {"site": site.pk, "from": first, "to": last, "days": days}
        return Response(WeatherRow(answer).data)


def span(asked: dict[str, Any], *, today: date) -> tuple[date, date]:
    """Return the first and last day asked for."""
    last = asked.get("to") or max(asked.get("from") or today, today) + AHEAD
    first = asked.get("from") or min(last, today) - BACK
    if first > last:
        raise serializers.ValidationError({"from": ["The first day lies after the last."]})
    if last - first > LONGEST:
        raise serializers.ValidationError({"from": ["Ask for three years at the most."]})
    return first, last


def as_row(day: Day) -> dict[str, Any]:
    """Return a day by the names of the interface."""
    return {
        "date": day.date,
        "kind": "forecast" if isinstance(day, ForecastDay) else "observed",
        "t_min_c": day.t_min_c,
        "t_max_c": day.t_max_c,
        "rain_mm": day.rain_mm,
        "reference_et_mm": day.reference_et_mm,
        "method": day.et_method,
        "quality": day.quality,
        "source": day.source,
        "issued_at": day.issued_at if isinstance(day, ForecastDay) else None,
    }
