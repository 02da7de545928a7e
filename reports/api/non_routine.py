"""What no weather explains, meter by meter."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import DayFilter, Filters, IdFilter
from fleet.api.inputs import ModelInput, OwnRow
from fleet.api.rows import Created, Edited, Removed, Services
from fleet.models import Meter
from reports.models import NonRoutineChange
from reports.services.baselines import edit_change, log_change, remove_change

EXAMPLE: dict[str, Any] = {
    "meter": 31,
    "kind": "leak",
    "first": "2026-06-20",
    "last": "2026-07-04",
    "litres_day": 500.0,
    "reason": "Split pipe by the gate.",
}


class NonRoutineChangeRow(serializers.ModelSerializer):
    """Litres a day beyond what a baseline can know, above 0 where more was used; both days included."""

    class Meta:
        model = NonRoutineChange
        fields = ("id", *EXAMPLE, "by")
        read_only_fields = fields


class NonRoutineChangeInput(ModelInput):
    """A change of use that no weather explains; without ``last`` it goes on."""

    meter = OwnRow(model=Meter)

    class Meta:
        model = NonRoutineChange
        fields = tuple(EXAMPLE)


class NonRoutineChangeFilters(Filters):
    client = IdFilter("meter__site__client")
    site = IdFilter("meter__site")
    meter = IdFilter("meter")
    first_after = DayFilter("first", lookup_expr="gte")
    first_before = DayFilter("first", lookup_expr="lte")


@reading(
    "non-routine-changes",
    many="Non-routine changes you may see",
    one="One non-routine change",
    row=NonRoutineChangeRow,
)
@writing(
    "non-routine-changes",
    one="a non-routine change",
    row=NonRoutineChangeRow,
    body=NonRoutineChangeInput,
    example=EXAMPLE,
    answer={"by": 4},
    edit={"last": "2026-07-06"},
    notes={"destroy": "What it was stays in its history."},
)
class NonRoutineChanges(Created, Edited, Removed):
    """New planting, leaks, rules of a drought, empty houses: counted apart from any measured saving."""

    queryset = NonRoutineChange.objects.none()
    serializer_class = NonRoutineChangeRow
    filterset_class = NonRoutineChangeFilters
    input_class = NonRoutineChangeInput
    row_name = "change"
    services = Services(log_change, edit_change, remove_change)

    def get_queryset(self) -> QuerySet[NonRoutineChange]:
        rows = NonRoutineChange.objects.visible_to(self.request.user)
        return rows.select_related("meter__site__client")
