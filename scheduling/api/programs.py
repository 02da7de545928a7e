"""Programs with their runs, version by version."""

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import DayFilter, Filters, IdFilter
from fleet.api.inputs import Day, ModelInput, OwnRow, Text, Whole
from fleet.api.rows import Created, Edited, Removed, Services
from fleet.models import Controller, Zone
from scheduling.models import Program, ZoneRun
from scheduling.models.programs import CLOCK
from scheduling.selectors.programs import programs_for
from scheduling.services.programs import edit_program, enter_program, remove_program

MOST_STARTS, MOST_RUNS = 24, 999
EXAMPLE = {
    "controller": 14,
    "letter": "A",
    "name": "Lawns",
    "days": "mon wed fri",
    "starts": ["03:30", "22:00"],
    "effective": "2026-07-06",
    "ended": None,
    "runs": [{"zone": 203, "minutes": 24, "cycle": 8, "soak": 20, "order": 1}],
}


class RunRow(serializers.ModelSerializer):
    """One zone in a program; minutes at 100 percent, longest cycle and soak in minutes."""

    class Meta:
        model = ZoneRun
        fields = ("zone", "minutes", "cycle", "soak", "order")
        read_only_fields = fields


class ProgramRow(serializers.ModelSerializer):
    """One version of a program, from the night it took effect; null ``replaced_on`` is the newest."""

    starts = serializers.ListField(child=serializers.CharField(), read_only=True)
    runs = RunRow(many=True, read_only=True)
    replaced_on = serializers.DateField(read_only=True, allow_null=True)

    class Meta:
        model = Program
        fields = (
            "id",
            "controller",
            "letter",
            "name",
            "days",
            "starts",
            "effective",
            "ended",
            "replaced_on",
            "runs",
        )
        read_only_fields = fields


class RunInput(ModelInput):
    """One zone in a program; without ``order`` as listed."""

    zone = OwnRow(model=Zone)
    order = Whole(required=False, min_value=1, max_value=MOST_RUNS)

    class Meta:
        model = ZoneRun
        fields = ("zone", "minutes", "cycle", "soak", "order")


class RunList(serializers.ListField):
    """The runs of a program; their zones are read in one question however many they are."""

    child: RunInput

    def run_child_validation(self, data: list[Any]) -> Any:
        zone: Any = self.child.fields["zone"]
        zone.read_ahead(run.get("zone") for run in data if isinstance(run, dict))
        self._whole(data)
        return super().run_child_validation(data)

    def _whole(self, data: list[Any]) -> None:
        """Refuse a run without what it needs: an edit of a program may leave fields out, its runs may not."""
        needed = {name: field for name, field in self.child.fields.items() if field.required}
        lacking: dict[Any, Any] = {
            place: {n: [f.error_messages["required"]] for n, f in needed.items() if n not in run}
            for place, run in enumerate(data)
            if isinstance(run, dict)
        }
        if any(lacking.values()):
            raise serializers.ValidationError({place: said for place, said in lacking.items() if said})


@extend_schema_field({"type": "string", "pattern": f"^({CLOCK.pattern})$"})
class StartTime(Text):
    """A time of day."""

    def to_internal_value(self, data: object) -> str:
        start = super().to_internal_value(data)
        if not CLOCK.fullmatch(start):
            raise serializers.ValidationError("Write each start as HH:MM, for example 04:30.")
        return start


class ProgramInput(ModelInput):
    """A program as it stands in the controller; ``days`` daily, odd, even or weekdays such as mon wed fri."""

    controller = OwnRow(model=Controller)
    starts = serializers.ListField(child=StartTime(), required=False, max_length=MOST_STARTS)
    runs = RunList(child=RunInput(), required=False, max_length=MOST_RUNS)

    class Meta:
        model = Program
        fields = ("controller", "letter", "name", "days", "starts", "effective", "ended", "runs")


class ProgramEditInput(ModelInput):
    """What is otherwise from the night of ``effective`` on, else from tonight; ``runs`` are all runs."""

    starts = serializers.ListField(child=StartTime(), required=False, max_length=MOST_STARTS)
    effective = Day(required=False)
    runs = RunList(child=RunInput(), required=False, max_length=MOST_RUNS)

    class Meta:
        model = Program
        fields = ("effective", "name", "days", "starts", "ended", "runs")


class ProgramFilters(Filters):
    client = IdFilter("controller__site__client")
    site = IdFilter("controller__site")
    controller = IdFilter("controller")
    effective_after = DayFilter("effective", lookup_expr="gte")
    effective_before = DayFilter("effective", lookup_expr="lte")


@reading(
    "programs", many="Programs you may see, every version", one="One version of a program", row=ProgramRow
)
@writing(
    "programs",
    one="a program",
    row=ProgramRow,
    body=ProgramInput,
    edit_body=ProgramEditInput,
    example=EXAMPLE,
    answer={"replaced_on": None},
    edit={"effective": "2026-07-20", "starts": ["04:00"]},
    notes={
        "partial_update": "What ran stays as it was: from the night of `effective` on another version "
        "takes this one's place, with an id of its own (`Content-Location`), at the percent in force and "
        "with the skips that are left. A version whose first night isn't over is written anew. `ended` "
        "alone ends the version.",
        "destroy": "Only a version that never ran, while nothing hangs on it.",
    },
)
class Programs(Created, Edited, Removed):
    """Programs as they are entered at the controllers."""

    queryset = Program.objects.none()
    serializer_class = ProgramRow
    filterset_class = ProgramFilters
    input_class = ProgramInput
    edit_class = ProgramEditInput
    row_name = "program"
    services = Services(enter_program, edit_program, remove_program)

    def get_queryset(self) -> QuerySet[Program]:
        programs = programs_for(self.request.user).prefetch_related("runs")
        return programs.select_related("controller__site__client")
