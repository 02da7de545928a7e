"""The percents in force."""

from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.documented import reading, writing
from fleet.api.filters import DayFilter, Filters, IdFilter
from fleet.api.inputs import ModelInput, OwnRow, Whole, Word
from fleet.api.rows import Created, Edited, Services
from fleet.selectors.people import require_enter
from scheduling.models import Program, Setting
from scheduling.services.settings import edit_setting, enter_setting

PERCENT_CEILING = 500  # no controller's percent_max may be higher
EXAMPLE = {"program": 52, "percent": 110, "effective_from": "2026-07-06", "how": "found"}


class SettingRow(serializers.ModelSerializer):
    """The percent a program runs at from a night on."""

    class Meta:
        model = Setting
        fields = ("id", "program", "percent", "effective_from", "how", "change")
        read_only_fields = fields


class SettingInput(ModelInput):
    """The percent a program runs at from a night on: found at the controller, or entered without a change."""

    program = OwnRow(model=Program)
    percent = Whole(min_value=0, max_value=PERCENT_CEILING)
    how = Word(choices=[Setting.How.FOUND, Setting.How.ENTERED], required=False)

    class Meta:
        model = Setting
        fields = ("program", "percent", "effective_from", "how")


class SettingEditInput(ModelInput):
    """The percent as it should have been typed."""

    percent = Whole(required=False, min_value=0, max_value=PERCENT_CEILING)

    class Meta:
        model = Setting
        fields = ("percent",)


class SettingFilters(Filters):
    client = IdFilter("program__controller__site__client")
    site = IdFilter("program__controller__site")
    controller = IdFilter("program__controller")
    program = IdFilter("program")
    effective_from_after = DayFilter("effective_from", lookup_expr="gte")
    effective_from_before = DayFilter("effective_from", lookup_expr="lte")


@reading("settings", many="Percents in force", one="One percent in force", row=SettingRow)
@writing(
    "settings",
    one="a percent",
    row=SettingRow,
    body=SettingInput,
    edit_body=SettingEditInput,
    example=EXAMPLE,
    answer={"change": None},
    edit={"percent": 115},
    removed=False,
    notes={
        "create": "Technicians say what they found; the owner and the office also what was entered. What "
        "was found for a night is never written over: it moves to the night before when another percent is "
        "entered."
    },
)
class Settings(Created, Edited):
    """Percents by the night they are in force from."""

    queryset = Setting.objects.none()
    serializer_class = SettingRow
    filterset_class = SettingFilters
    input_class = SettingInput
    edit_class = SettingEditInput
    row_name = "setting"
    services = Services(enter_setting, edit_setting)
    require = staticmethod(require_enter)

    def get_queryset(self) -> QuerySet[Setting]:
        visible = Setting.objects.visible_to(self.request.user)
        return visible.select_related("program__controller__site__client")
