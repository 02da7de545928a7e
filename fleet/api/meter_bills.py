"""Bills for the water of a meter."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import DayFilter, Filters, IdFilter
from fleet.api.inputs import ModelInput, OwnRow
from fleet.api.rows import Created, Edited, Removed, Services
from fleet.models import Meter, MeterBill
from fleet.selectors.people import require_enter
from fleet.services.meter_readings import edit_bill, note_bill, remove_bill

EXAMPLE: dict[str, Any] = {
    "meter": 31,
    "first": "2026-05-12",
    "last": "2026-06-10",
    "used": 61.2,
    "charged": "412.80",
    "note": "",
}


class MeterBillRow(serializers.ModelSerializer):
    """What a bill says was used from its first to its last day, both included, in the meter's unit."""

    class Meta:
        model = MeterBill
        fields = ("id", *EXAMPLE, "by")
        read_only_fields = fields


class MeterBillInput(ModelInput):
    """A bill's days, which need match no month, and what it says was used, in the meter's unit."""

    meter = OwnRow(model=Meter)

    class Meta:
        model = MeterBill
        fields = tuple(EXAMPLE)


class MeterBillFilters(Filters):
    client = IdFilter("meter__site__client")
    site = IdFilter("meter__site")
    meter = IdFilter("meter")
    date_after = DayFilter("last", lookup_expr="gte")
    date_before = DayFilter("first", lookup_expr="lte")


@reading("meters", many="Water bills you may see", one="One water bill", row=MeterBillRow)
@writing(
    "meters",
    one="a water bill",
    row=MeterBillRow,
    body=MeterBillInput,
    example=EXAMPLE,
    answer={"by": 4},
    edit={"used": 62.1},
    notes={
        "create": "One a meter and first day.",
        "partial_update": "Meter and first day stay.",
        "destroy": "A bill that never was.",
    },
)
class MeterBills(Created, Edited, Removed):
    """Bills for the water of meters."""

    queryset = MeterBill.objects.none()
    serializer_class = MeterBillRow
    filterset_class = MeterBillFilters
    input_class = MeterBillInput
    row_name = "bill"
    services = Services(note_bill, edit_bill, remove_bill)
    require = staticmethod(require_enter)

    def get_queryset(self) -> QuerySet[MeterBill]:
        return MeterBill.objects.visible_to(self.request.user).select_related("meter__site__client")
