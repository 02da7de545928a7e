"""What registers of water meters showed."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import DayFilter, Filters, IdFilter
from fleet.api.inputs import ModelInput, Moment, OwnRow
from fleet.api.rows import Created, Edited, Removed, Services
from fleet.models import Meter, MeterReading
from fleet.selectors.people import require_enter
from fleet.services.meter_readings import edit_reading, note_reading, remove_reading

EXAMPLE: dict[str, Any] = {
    "meter": 31,
    "read_at": "2026-07-06T08:15:00-07:00",
    "value": 48_213.4,
    "reset": False,
    "note": "",
}


class MeterReadingRow(serializers.ModelSerializer):
    """A register reading in the meter's unit; ``reset``: it counts anew from here."""

    class Meta:
        model = MeterReading
        fields = ("id", "meter", "read_at", "value", "reset", "note", "how", "by")
        read_only_fields = fields


class MeterReadingInput(ModelInput):
    """What the register shows at a moment, in the meter's unit."""

    meter = OwnRow(model=Meter)
    read_at = Moment()

    class Meta:
        model = MeterReading
        fields = ("meter", "read_at", "value", "reset", "note")


class MeterReadingFilters(Filters):
    client = IdFilter("meter__site__client")
    site = IdFilter("meter__site")
    meter = IdFilter("meter")
    date_after = DayFilter("read_at", lookup_expr="date__gte")
    date_before = DayFilter("read_at", lookup_expr="date__lte")


def _noted(**said: Any) -> MeterReading:
    return note_reading(how=MeterReading.How.INTERFACE, **said)


@reading("meters", many="Register readings you may see", one="One register reading", row=MeterReadingRow)
@writing(
    "meters",
    one="a register reading",
    row=MeterReadingRow,
    body=MeterReadingInput,
    example=EXAMPLE,
    answer={"how": "interface", "by": 4},
    edit={"value": 48_231.4},
    notes={
        "create": "One a meter and moment. Readings may come late and in any order.",
        "partial_update": "Meter and moment stay.",
        "destroy": "A reading that never was.",
    },
)
class MeterReadings(Created, Edited, Removed):
    """Register readings of water meters."""

    queryset = MeterReading.objects.none()
    serializer_class = MeterReadingRow
    filterset_class = MeterReadingFilters
    input_class = MeterReadingInput
    row_name = "reading"
    services = Services(_noted, edit_reading, remove_reading)
    require = staticmethod(require_enter)

    def get_queryset(self) -> QuerySet[MeterReading]:
        return MeterReading.objects.visible_to(self.request.user).select_related("meter__site__client")
