"""Nights without water."""

from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import DayFilter, Filters, IdFilter
from fleet.api.inputs import ModelInput, OwnRow
from fleet.api.rows import Created, Edited, Removed, Services
from scheduling.models import Program, Skip
from scheduling.services.skip_nights import edit_skip, remove_skip, set_skip

EXAMPLE = {
    "program": 52,
    "effective_from": "2026-07-17",
    "effective_to": "2026-07-18",
    "reason": "Tent on the lawn.",
}


class SkipRow(serializers.ModelSerializer):
    """Nights a program leaves out, both included; ``change`` is the decision behind it, if there was one."""

    class Meta:
        model = Skip
        fields = ("id", "program", "effective_from", "effective_to", "reason", "change")
        read_only_fields = fields


class SkipInput(ModelInput):
    """Nights a program leaves out, both included, and why."""

    program = OwnRow(model=Program)

    class Meta:
        model = Skip
        fields = ("program", "effective_from", "effective_to", "reason")


class SkipFilters(Filters):
    """The dates ask for skips with a night on or after, or on or before."""

    client = IdFilter("program__controller__site__client")
    site = IdFilter("program__controller__site")
    controller = IdFilter("program__controller")
    program = IdFilter("program")
    night_after = DayFilter("effective_to", lookup_expr="gte")
    night_before = DayFilter("effective_from", lookup_expr="lte")


@reading("skips", many="Nights left out", one="One skip", row=SkipRow)
@writing(
    "skips",
    one="a skip",
    row=SkipRow,
    body=SkipInput,
    example=EXAMPLE,
    answer={"change": None},
    edit={"effective_to": "2026-07-19"},
    notes={"destroy": "Only while its first night is still to come, and never one that was decided."},
)
class Skips(Created, Edited, Removed):
    """Nights left out, as decided or as set by hand."""

    queryset = Skip.objects.none()
    serializer_class = SkipRow
    filterset_class = SkipFilters
    input_class = SkipInput
    row_name = "skip"
    services = Services(set_skip, edit_skip, remove_skip)

    def get_queryset(self) -> QuerySet[Skip]:
        return Skip.objects.visible_to(self.request.user).select_related("program__controller__site__client")
