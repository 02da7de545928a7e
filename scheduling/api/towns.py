"""Towns, and switching the stage of one."""

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from common import clock
from common.errors import Refused
from fleet.api.documented import ONCE, REPLAY, reading, writing
from fleet.api.filters import Filters
from fleet.api.inputs import Day, Input, ModelInput, OwnRow, Whole, YesNo
from fleet.api.once import once
from fleet.api.rows import Created, Edited, Removed, Services
from fleet.models import Company, Town
from fleet.models.rules import MOST_STAGE
from fleet.selectors.people import require_set_up
from fleet.services.rules import edit_town, remove_town, set_up_town
from scheduling.selectors.stage_effect import StageEffect, stage_effect
from scheduling.services.stages import FURTHEST, switch_stage

SWITCH = {"stage": 2, "from": "2026-07-10"}


class TownRow(serializers.ModelSerializer):
    """A town: ``stage`` holds from the night of ``stage_from`` on, ``stage_before`` until then; 0 is none."""

    class Meta:
        model = Town
        fields = ("id", "name", "stage", "stage_from", "stage_before")
        read_only_fields = fields


class TownInput(ModelInput):
    """A town's name; say for which company only if you work for several."""

    company = OwnRow(model=Company, required=False)

    class Meta:
        model = Town
        fields = ("company", "name")


class StageInput(Input):
    """The stage, and the first night; as a ``preview`` the effect is answered and nothing saved."""

    stage = Whole(min_value=0, max_value=MOST_STAGE)
    preview = YesNo(required=False, default=False)

    def get_fields(self) -> dict[str, Any]:
        return {**super().get_fields(), "from": Day()}


class BreachRow(serializers.Serializer):
    """A program that waters against the stage, and against what of it."""

    site = serializers.IntegerField()
    controller = serializers.IntegerField()
    program = serializers.IntegerField()
    against = serializers.ListField(child=serializers.CharField())


class StageRow(serializers.Serializer):
    """What the stage does in the seven nights from its first on."""

    town = serializers.IntegerField()
    stage = serializers.IntegerField()
    saved = serializers.BooleanField()
    open_sites = serializers.IntegerField()
    programs = serializers.IntegerField()
    sites_not_complying = serializers.IntegerField()
    programs_not_complying = serializers.IntegerField()
    sites_with_less_water = serializers.IntegerField()
    breaches = BreachRow(many=True)

    def get_fields(self) -> dict[str, Any]:
        return {**super().get_fields(), "from": serializers.DateField()}


class TownFilters(Filters):
    pass


@reading("towns", many="Towns you may see", one="One town", row=TownRow)
@writing(
    "towns",
    one="a town",
    row=TownRow,
    body=TownInput,
    example={"name": "Upper Vale"},
    answer={"stage": 0, "stage_from": None, "stage_before": 0},
    edit={"name": "Upper Vale District"},
    notes={"destroy": "Only while it has neither sites nor rules."},
)
class Towns(Created, Edited, Removed):
    """Towns of your company, with the stage each is under."""

    queryset = Town.objects.none()
    serializer_class = TownRow
    filterset_class = TownFilters
    input_class = TownInput
    row_name = "town"
    services = Services(set_up_town, edit_town, remove_town)
    one_by_one = True

    def get_queryset(self) -> QuerySet[Town]:
        return Town.objects.visible_to(self.request.user)

    @extend_schema(
        summary="Switch the stage of a town",
        tags=["towns"],
        parameters=[ONCE, REPLAY],
        request=StageInput,
        responses={200: StageRow},
        examples=[OpenApiExample("from a night on", SWITCH, request_only=True)],
        filters=False,
    )
    @action(detail=True, methods=["post"])
    @once
    def stage(self, request: Request, id: int) -> Response:
        town = self.get_object()
        require_set_up(request.user, town.company_id)  # type: ignore[arg-type]
        said = StageInput(data=request.data, context=self.get_serializer_context())
        said.is_valid(raise_exception=True)
        stage, since = said.validated_data["stage"], said.validated_data["from"]
        on = clock.today(_timezone(town))
        if not on <= since <= on + FURTHEST:
            raise Refused("The first night lies between tonight and a year from now.", field="from")
        effect = stage_effect(request.user, town, stage=stage, since=since)  # type: ignore[arg-type]
        if not said.validated_data["preview"]:
            switch_stage(town=town, by=request.user, stage=stage, since=since, on=on)  # type: ignore[arg-type]
        return Response(_answer(town, effect, saved=not said.validated_data["preview"]))


def _timezone(town: Town) -> str:
    site = town.sites.order_by("pk").first()
    return site.timezone if site is not None else "UTC"


def _answer(town: Town, effect: StageEffect, *, saved: bool) -> dict[str, Any]:
    return {
        "town": town.pk,
        "stage": effect.stage,
        "from": effect.since.isoformat(),
        "saved": saved,
        "open_sites": effect.nights.sites,
        "programs": effect.nights.programs,
        "sites_not_complying": effect.sites,
        "programs_not_complying": len(effect.then),
        "sites_with_less_water": len(effect.less),
        "breaches": [
            {
                "site": breach.program.controller.site_id,
                "controller": breach.program.controller_id,
                "program": breach.program.pk,
                "against": list(breach.against),
            }
            for breach in effect.then
        ],
    }
