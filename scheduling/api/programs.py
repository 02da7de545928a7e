"""Programs with their runs, and the percents in force. Read only."""

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.viewsets import ReadOnlyModelViewSet

from fleet.api.filters import DayFilter, Filters, IdFilter
from scheduling.models import Program, Setting, ZoneRun


class RunRow(serializers.ModelSerializer):
    """One zone in a program; minutes at 100 percent, longest cycle and soak in minutes."""

    class Meta:
        model = ZoneRun
        fields = ("zone", "minutes", "cycle", "soak", "order")
        read_only_fields = fields


class ProgramRow(serializers.ModelSerializer):
    """One version of a program, from the date it took effect."""

    starts = serializers.ListField(child=serializers.CharField(), read_only=True)
    runs = RunRow(many=True, read_only=True)

    class Meta:
        model = Program
        fields = ("id", "controller", "letter", "name", "days", "starts", "effective", "ended", "runs")
        read_only_fields = fields


class SettingRow(serializers.ModelSerializer):
    """The percent a program runs at from a night on."""

    class Meta:
        model = Setting
        fields = ("id", "program", "percent", "effective_from", "how", "change")
        read_only_fields = fields


class ProgramFilters(Filters):
    client = IdFilter("controller__site__client")
    site = IdFilter("controller__site")
    controller = IdFilter("controller")


class SettingFilters(Filters):
    program = IdFilter("program")
    site = IdFilter("program__controller__site")
    effective_from_after = DayFilter("effective_from", lookup_expr="gte")
    effective_from_before = DayFilter("effective_from", lookup_expr="lte")


@extend_schema_view(
    list=extend_schema(summary="Programs you may see, every version", tags=["programs"]),
    retrieve=extend_schema(summary="One version of a program", tags=["programs"]),
)
class Programs(ReadOnlyModelViewSet):
    """Programs as they are entered at the controllers."""

    queryset = Program.objects.none()
    serializer_class = ProgramRow
    filterset_class = ProgramFilters
    lookup_url_kwarg = "id"
    lookup_value_converter = "int"

    def get_queryset(self) -> QuerySet[Program]:
        return Program.objects.visible_to(self.request.user).prefetch_related("runs")


@extend_schema_view(
    list=extend_schema(summary="Percents in force", tags=["settings"]),
    retrieve=extend_schema(summary="One percent in force", tags=["settings"]),
)
class Settings(ReadOnlyModelViewSet):
    """Percents by the night they are in force from."""

    queryset = Setting.objects.none()
    serializer_class = SettingRow
    filterset_class = SettingFilters
    lookup_url_kwarg = "id"
    lookup_value_converter = "int"

    def get_queryset(self) -> QuerySet[Setting]:
        return Setting.objects.visible_to(self.request.user)
