"""A controller's night over REST: every valve, and whether the night holds it all."""

from datetime import date, datetime
from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from common import clock
from fleet.models import Controller
from scheduling.selectors.simulate import DAYS, FLOW, HOURS, MINUTES, NOON, Limit, Night
from scheduling.selectors.timeline import timeline

EXAMPLE = {
    "controller": 12,
    "date": "2026-07-14",
    "timezone": "America/Los_Angeles",
    "from": "2026-07-14T12:00:00-07:00",
    "to": "2026-07-15T12:00:00-07:00",
    "fits": False,
    "binding": "hours",
    "limits": ["From 06:00 on 15 July it waters 25 minutes outside the hours allowed."],
    "notes": [],
    "events": [
        {
            "program": 31,
            "letter": "A",
            "zone": 240,
            "zone_number": 1,
            "cycle": 1,
            "start": "2026-07-15T04:30:00-07:00",
            "end": "2026-07-15T04:42:00-07:00",
            "flow_l_min": 38.0,
        }
    ],
}


BINDINGS = [DAYS, HOURS, MINUTES, NOON, FLOW]
FIRST, LAST = date(1970, 1, 1), date(2199, 12, 31)


def within_reach(night: date) -> None:
    """Refuse nights no controller has."""
    if not FIRST <= night <= LAST:
        raise serializers.ValidationError(f"Ask for a night from {FIRST} to {LAST}.")


class Asked(serializers.Serializer):
    """The night asked for, by the date of its evening."""

    date = serializers.DateField(required=False, validators=[within_reach])


class EventRow(serializers.Serializer):
    """One valve open once."""

    program = serializers.IntegerField()
    letter = serializers.CharField()
    zone = serializers.IntegerField()
    zone_number = serializers.IntegerField()
    cycle = serializers.IntegerField()
    start = serializers.DateTimeField()
    end = serializers.DateTimeField()
    flow_l_min = serializers.FloatField(allow_null=True)


class NightRow(serializers.Serializer):
    """A night from noon to noon; ``binding`` is what it passes, the worst, ``limits`` all of it in words."""

    controller = serializers.IntegerField()
    date = serializers.DateField()
    timezone = serializers.CharField()
    to = serializers.DateTimeField()
    fits = serializers.BooleanField()
    binding = serializers.ChoiceField(choices=BINDINGS, allow_null=True)
    limits = serializers.ListField(child=serializers.CharField())
    notes = serializers.ListField(child=serializers.CharField())
    events = EventRow(many=True)

    def get_fields(self) -> dict[str, Any]:
        return {"from": serializers.DateTimeField(), **super().get_fields()}


class ControllerTimeline(APIView):
    """What one controller does in one night, from programs, percents and skips in force."""

    @extend_schema(
        operation_id="controllers_timeline_retrieve",
        tags=["controllers"],
        parameters=[
            OpenApiParameter("date", date, description="Date of the evening, YYYY-MM-DD; without it tonight.")
        ],
        responses=NightRow,
        examples=[OpenApiExample("a night that runs too long", EXAMPLE, response_only=True)],
    )
    def get(self, request: Request, id: int) -> Response:
        visible = Controller.objects.visible_to(request.user)
        controller = get_object_or_404(visible.select_related("site__watering_rule", "source"), pk=id)
        asked = Asked(data=request.query_params.dict())  # a plain dict: an empty date is an error, not none
        asked.is_valid(raise_exception=True)
        on = asked.validated_data.get("date") or clock.today(controller.site.timezone)
        return Response(as_answer(controller, timeline(controller, night=on).of(controller)))


def as_answer(controller: Controller, night: Night) -> dict[str, Any]:
    """Return a night by the names of the interface."""
    return {
        "controller": controller.pk,
        "date": night.clock.night.isoformat(),
        "timezone": night.clock.timezone,
        "from": night.clock.begins.isoformat(),
        "to": night.clock.ends.isoformat(),
        "fits": night.fits,
        "binding": night.binding,
        "limits": [in_words(limit) for limit in night.limits],
        "notes": notes(night),
        "events": [
            {
                "program": event.program.pk,
                "letter": event.program.letter,
                "zone": event.zone.pk,
                "zone_number": event.zone.number,
                "cycle": event.cycle,
                "start": event.start.isoformat(),
                "end": event.end.isoformat(),
                "flow_l_min": event.flow_l_min,
            }
            for event in night.events
        ],
    }


def in_words(limit: Limit) -> str:
    """Return what a night passes, in a sentence and SI units."""
    since = _when(limit.at)
    return {
        DAYS: f"From {since} it waters on a day the watering rule doesn't allow.",
        HOURS: f"From {since} it waters {limit.minutes:.0f} minutes outside the hours allowed.",
        MINUTES: f"On {limit.at:%d %B} a zone waters {limit.minutes:.0f} minutes more than it may.",
        NOON: f"It runs {limit.minutes:.0f} minutes into the next night, past {since}.",
        FLOW: f"From {since} open valves take {limit.flow_l_min:.0f} L/min, more than the source gives.",
    }[limit.binding]


def notes(night: Night) -> list[str]:
    """Return what else to know about a night."""
    found = [
        f"The clock jumps over {at:%H:%M} in this night: program {program.letter} is taken to start when it "
        "jumps; some controllers leave such a start out."
        for program, at in night.jumped_over
    ]
    found += [
        f"The clock shows {at:%H:%M} twice in this night: program {program.letter} is taken to start the "
        "first time; some controllers start twice."
        for program, at in night.shown_twice
    ]
    found += [f"No flow is known for zone {zone}; it counts as none." for zone in night.flow_unknown]
    return found


def _when(moment: datetime) -> str:
    return f"{moment:%H:%M} on {moment.day} {moment:%B}"
