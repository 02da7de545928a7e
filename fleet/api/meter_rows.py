"""Many readings or hours of one meter in one request, each row answered: stored, the same, or conflicting."""

from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.api.documented import ONCE, REPLAY
from fleet.api.inputs import Input, ModelInput, Moment
from fleet.api.once import once
from fleet.models import Meter, MeterHour, MeterReading
from fleet.selectors.people import require_enter
from fleet.services.meter_hours import Hour, store_hours
from fleet.services.meter_readings import refuse_reading_to_come
from fleet.services.meter_rows import store_readings
from fleet.tenancy import company_id_of

MOST_READINGS, MOST_HOURS = 1_000, 9_000
ANSWERS = (
    "Answers each row in its order: `stored`, `same` as is stored already, or `conflicting` with what is "
    "stored, which is kept. Rows that can't be are named in `errors`, counted from 0, and nothing is stored."
)
READINGS = [
    {"read_at": "2026-07-05T06:00:00-07:00", "value": 48_198.0},
    {"read_at": "2026-07-06T06:00:00-07:00", "value": 48_213.4},
]
HOURS = [
    {"begins_at": "2026-07-06T04:00:00-07:00", "minutes": 60, "used_l": 1_840.5},
    {"begins_at": "2026-07-06T05:00:00-07:00", "minutes": 60, "used_l": 0},
]


class MeterReadingOfManyInput(ModelInput):
    """One of many readings of one meter, in its unit."""

    read_at = Moment()

    class Meta:
        model = MeterReading
        fields = ("read_at", "value", "reset", "note")


class MeterHourInput(ModelInput):
    """What was used in an hour, or in as many minutes as are said. [L]"""

    begins_at = Moment()

    class Meta:
        model = MeterHour
        fields = ("begins_at", "minutes", "used_l")


class RowTaken(serializers.Serializer):
    """What became of one row; ``kept`` is the value that is stored."""

    row = serializers.IntegerField(min_value=0)
    answer = serializers.ChoiceField(["stored", "same", "conflicting"])
    kept = serializers.FloatField()


class RowsTaken(serializers.Serializer):
    """How many rows were new, the same, or conflicting, and each of them."""

    stored = serializers.IntegerField(min_value=0)
    same = serializers.IntegerField(min_value=0)
    conflicting = serializers.IntegerField(min_value=0)
    rows = RowTaken(many=True)


class HourConflict(serializers.Serializer):
    """A row that differs from the stored one, which was kept. [L]"""

    begins_at = serializers.DateTimeField()
    sent_l = serializers.FloatField()
    kept_l = serializers.FloatField()


class HoursTakenRow(serializers.Serializer):
    """How many rows were new, the same, or conflicting, and the first hundred conflicts."""

    stored = serializers.IntegerField(min_value=0)
    same = serializers.IntegerField(min_value=0)
    conflicting = serializers.IntegerField(min_value=0)
    conflicts = HourConflict(many=True)


class MeterReadingsInBulk(APIView):
    """Register readings of one meter."""

    @extend_schema(
        operation_id="meters_readings_create",
        summary="Send many readings of a meter",
        description=ANSWERS,
        tags=["meters"],
        parameters=[ONCE, REPLAY],
        request=MeterReadingOfManyInput(many=True),
        responses={200: RowsTaken},
        examples=[OpenApiExample("two days", READINGS, request_only=True)],
    )
    @once
    def post(self, request: Request, id: int) -> Response:
        user: Any = request.user
        meter = _meter(user, id)
        rows = _rows(request, MeterReadingOfManyInput, most=MOST_READINGS, what="readings")
        for row in rows:
            refuse_reading_to_come(meter, row["read_at"])
        taken = store_readings(meter=meter, by=user, rows=rows, how=MeterReading.How.INTERFACE)
        said = [{"row": n, "answer": one.outcome, "kept": one.kept} for n, one in enumerate(taken)]
        counts = {
            name: sum(one.outcome == name for one in taken) for name in ("stored", "same", "conflicting")
        }
        return Response(RowsTaken({**counts, "rows": said}).data)


class MeterHoursInBulk(APIView):
    """Interval data of one meter."""

    @extend_schema(
        operation_id="meters_hours_create",
        summary="Send use by the hour of a meter",
        description="Counts what was `stored`, the `same` as is stored already, or `conflicting` with "
        "what is stored, which is kept; the first hundred conflicts in full. `used_l` is litres, "
        "whatever the meter counts in; `minutes` is 60 where left out.",
        tags=["meters"],
        parameters=[ONCE, REPLAY],
        request=MeterHourInput(many=True),
        responses={200: HoursTakenRow},
        examples=[OpenApiExample("two hours", HOURS, request_only=True)],
    )
    @once
    def post(self, request: Request, id: int) -> Response:
        user: Any = request.user
        meter = _meter(user, id)
        rows = _rows(request, MeterHourInput, most=MOST_HOURS, what="hours")
        for row in rows:
            refuse_reading_to_come(meter, row["begins_at"])
        hours = [Hour(row["begins_at"], row.get("minutes", 60), row["used_l"]) for row in rows]
        return Response(HoursTakenRow(store_hours(meter=meter, by=user, rows=hours)).data)


def _meter(user: Any, id: int) -> Meter:
    mine = Meter.objects.filter(site__client__company__in=user.company_ids())
    meter = get_object_or_404(mine.select_related("site__client"), pk=id)
    require_enter(user, company_id_of(meter))
    return meter


def _rows(request: Request, body: type[Input], *, most: int, what: str) -> list[dict[str, Any]]:
    if not isinstance(request.data, list) or not 0 < len(request.data) <= most:
        raise serializers.ValidationError(f"Send a list of 1 to {most:,} {what}.")
    one = body(context={"request": request})
    rows: list[dict[str, Any]] = []
    wrong: dict[str, Any] = {}
    for n, row in enumerate(request.data):
        try:
            rows.append(dict(one.run_validation(row)))
        except serializers.ValidationError as error:
            wrong[str(n)] = error.detail
            if len(wrong) >= 100:
                break
    if wrong:
        raise serializers.ValidationError(wrong)
    return rows
