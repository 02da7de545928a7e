"""Better starts and orders for what a controller holds now, with those on the same water, over REST."""

from datetime import date
from typing import Any

from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from scheduling.api.plan import AskedNight, controller_of, night_of
from scheduling.api.timeline import in_words
from scheduling.selectors.arrangement import Arrangement, arrangement_of
from scheduling.selectors.simulate import Night


class NightSpan(serializers.Serializer):
    """The worst of the coming nights: first valve open, last valve shut, what it passes."""

    date = serializers.DateField()
    begins = serializers.DateTimeField(allow_null=True)
    ends = serializers.DateTimeField(allow_null=True)
    fits = serializers.BooleanField()
    limits = serializers.ListField(child=serializers.CharField())
    peak_l_min = serializers.FloatField()


class ArrangedProgramRow(serializers.Serializer):
    """A program with the starts and order of zones proposed; its minutes stay as they are."""

    controller = serializers.IntegerField()
    program = serializers.IntegerField()
    letter = serializers.CharField()
    days = serializers.CharField()
    starts_now = serializers.ListField(child=serializers.CharField())
    starts = serializers.ListField(child=serializers.CharField())
    zones_now = serializers.ListField(child=serializers.IntegerField())
    zones = serializers.ListField(child=serializers.IntegerField())


class ArrangementRow(serializers.Serializer):
    """All controllers on one source; nights are null where nothing waters."""

    controller = serializers.IntegerField()
    effective = serializers.DateField()
    programs = ArrangedProgramRow(many=True)
    now = NightSpan(allow_null=True)
    proposed = NightSpan(allow_null=True)


SPAN = {
    "date": "2026-07-14",
    "begins": "2026-07-14T22:00:00-07:00",
    "ends": "2026-07-15T06:31:00-07:00",
    "fits": True,
    "limits": [],
    "peak_l_min": 64.0,
}
EXAMPLE = {
    "controller": 12,
    "effective": "2026-07-14",
    "programs": [
        {
            "controller": 12,
            "program": 31,
            "letter": "A",
            "days": "mon wed fri",
            "starts_now": ["22:00"],
            "starts": ["02:40"],
            "zones_now": [240, 241],
            "zones": [241, 240],
        }
    ],
    "now": SPAN,
    "proposed": SPAN | {"begins": "2026-07-15T02:40:00-07:00", "ends": "2026-07-15T06:00:00-07:00"},
}


class ControllerArrangement(APIView):
    """Starts and orders that end the night sooner."""

    @extend_schema(
        operation_id="controllers_arrangement_retrieve",
        summary="Better starts and orders for the programs in force",
        description="For the controller and all others on its water source: minutes, "
        "cycles, soaks and days stay as they are. Nothing is stored.",
        tags=["controllers"],
        parameters=[
            OpenApiParameter("effective", date, description="First night, YYYY-MM-DD; without it tonight.")
        ],
        responses=ArrangementRow,
        examples=[OpenApiExample("over half an hour sooner", EXAMPLE, response_only=True)],
    )
    def get(self, request: Request, id: int) -> Response:
        controller = controller_of(request, id)
        asked = AskedNight(data=request.query_params.dict())
        asked.is_valid(raise_exception=True)
        night = night_of(controller, asked.validated_data.get("effective"))
        found = arrangement_of(controller, night=night)
        return Response(
            {
                "controller": controller.pk,
                "effective": night,
                "programs": _programs(found),
                "now": _span(found.now),
                "proposed": _span(found.then),
            }
        )


def _programs(found: Arrangement) -> list[dict[str, Any]]:
    now = {entry.program.pk: entry for box in found.boxes for entry in box.entries}
    return [
        {
            "controller": one.program.controller_id,
            "program": one.program.pk,
            "letter": one.program.letter,
            "days": one.program.days,
            "starts_now": now[one.program.pk].program.starts,
            "starts": list(one.starts),
            "zones_now": [run.zone_id for run in now[one.program.pk].runs],
            "zones": [run.zone_id for run in one.runs],
        }
        for one in found.proposed
    ]


def _span(night: Night | None) -> dict[str, Any] | None:
    if night is None:
        return None
    begins = min((event.start for event in night.events), default=None)
    return {
        "date": night.clock.night,
        "begins": begins.isoformat() if begins else None,
        "ends": night.ends.isoformat() if night.ends else None,
        "fits": night.fits,
        "limits": [in_words(limit) for limit in night.limits],
        "peak_l_min": round(night.peak_l_min, 4),
    }
