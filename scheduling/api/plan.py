"""The plan of a controller over REST: read it, try it otherwise, make it the controller's programs."""

from datetime import date, timedelta
from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from common import clock
from common.errors import Refused
from fleet.api.documented import ONCE, REPLAY
from fleet.api.filters import BIGINT_MAX
from fleet.api.inputs import Day, Input, Number, Text
from fleet.api.once import once
from fleet.models import Controller
from fleet.selectors.people import require_set_up
from scheduling.api.plan_output import EXAMPLE, PlanRow, plan_answer
from scheduling.api.programs import MOST_STARTS, ProgramRow, StartTime
from scheduling.selectors.plan.asked import Overrides
from scheduling.selectors.plan.of_controller import plan_of
from scheduling.selectors.plan.overruling import overrides_of
from scheduling.selectors.programs import programs_for
from scheduling.services.adopt import adopt_plan

TAGS = ["controllers"]
AHEAD = timedelta(days=366)
OVERRULED: dict[str, Any] = {
    "zones": {"240": {"minutes": 60, "cycle": 20}},
    "programs": {"A": {"days": "mon wed fri", "starts": ["02:00"]}},
}


class ZoneWishInput(Input):
    """What is wanted for a zone; what is left out stays as planned. Minutes of one start."""

    program = Text(required=False, max_length=1)
    minutes = Number(required=False, min_value=0, max_value=1440)
    cycle = Number(required=False, min_value=1, max_value=1440)
    soak = Number(required=False, min_value=0, max_value=1440)


class ProgramWishInput(Input):
    """What is wanted for a program: ``days`` daily, odd, even or weekdays such as mon wed fri."""

    days = Text(required=False, max_length=27)
    starts = serializers.ListField(
        child=StartTime(), required=False, allow_empty=False, max_length=MOST_STARTS
    )


class OverridesInput(Input):
    """What is overruled: zones by id, programs by letter."""

    zones = serializers.DictField(child=ZoneWishInput(), required=False)
    programs = serializers.DictField(child=ProgramWishInput(), required=False)


class PlanTryInput(OverridesInput):
    """The same, from a night on; tonight without ``effective``."""

    effective = Day(required=False)


class PlanAdoptInput(Input):
    """The plan as it was shown: its ``digest`` and what was overruled, from the night of ``effective`` on."""

    effective = Day()
    digest = Text(max_length=64)
    overrides = OverridesInput(required=False)


class AdoptedRow(serializers.Serializer):
    """The program versions that were written."""

    controller = serializers.IntegerField()
    effective = serializers.DateField()
    programs = ProgramRow(many=True)


class AskedNight(serializers.Serializer):
    effective = serializers.DateField(required=False)


class ControllerPlan(APIView):
    """What a controller should hold for the peak month of a usual year, each number with its reason."""

    @extend_schema(
        operation_id="controllers_plan_retrieve",
        summary="The plan of a controller",
        tags=TAGS,
        parameters=[
            OpenApiParameter("effective", date, description="First night, YYYY-MM-DD; without it tonight.")
        ],
        responses=PlanRow,
        examples=[OpenApiExample("a night that runs too long", EXAMPLE, response_only=True)],
    )
    def get(self, request: Request, id: int) -> Response:
        controller = controller_of(request, id)
        asked = AskedNight(data=request.query_params.dict())
        asked.is_valid(raise_exception=True)
        night = night_of(controller, asked.validated_data.get("effective"))
        return Response(plan_answer(plan_of(controller, night=night)))

    @extend_schema(
        operation_id="controllers_plan_try",
        summary="The plan with something overruled",
        description="Nothing is stored. The rest is planned around what is overruled, with its effect.",
        tags=TAGS,
        request=PlanTryInput,
        responses={200: PlanRow},
        examples=[
            OpenApiExample("fewer minutes", OVERRULED, request_only=True),
            OpenApiExample("a night that runs too long", EXAMPLE, response_only=True),
        ],
    )
    def post(self, request: Request, id: int) -> Response:
        controller = controller_of(request, id)
        said = PlanTryInput(data=request.data)
        said.is_valid(raise_exception=True)
        night = night_of(controller, said.validated_data.get("effective"))
        overrides = _overrides(controller, said.validated_data)
        return Response(plan_answer(plan_of(controller, night=night, overrides=overrides)))


class ControllerPlanAdopt(APIView):
    """A plan becomes programs."""

    @extend_schema(
        operation_id="controllers_plan_adopt",
        summary="Adopt the plan as shown",
        description="Writes new versions of the controller's programs from a night on, all or none; programs "
        "the plan doesn't have end. 409 if survey, rule, water, weather or programs have changed since "
        "`digest` was given.",
        tags=TAGS,
        parameters=[ONCE, REPLAY],
        request=PlanAdoptInput,
        responses={201: AdoptedRow},
        examples=[
            OpenApiExample(
                "as shown",
                {"effective": "2026-07-14", "digest": EXAMPLE["digest"], "overrides": OVERRULED},
                request_only=True,
            )
        ],
    )
    @once
    def post(self, request: Request, id: int) -> Response:
        controller = controller_of(request, id)
        user: Any = request.user
        require_set_up(user, controller.site.client.company_id)
        said = PlanAdoptInput(data=request.data)
        said.is_valid(raise_exception=True)
        night = night_of(controller, said.validated_data["effective"])
        written = adopt_plan(
            controller=controller,
            by=user,
            effective=night,
            digest=said.validated_data["digest"],
            overrides=_overrides(controller, said.validated_data.get("overrides", {})),
        )
        programs = programs_for(user).filter(pk__in=[one.pk for one in written]).prefetch_related("runs")
        answer = {"controller": controller.pk, "effective": night, "programs": programs.order_by("letter")}
        return Response(AdoptedRow(answer).data, status=201)


def controller_of(request: Request, id: int) -> Controller:
    """Return a controller of a company the person works for; any other doesn't exist."""
    user: Any = request.user
    mine = Controller.objects.filter(site__client__company__in=user.company_ids())
    return get_object_or_404(
        mine.select_related("site__client__company", "site__watering_rule", "source"), pk=id
    )


def night_of(controller: Controller, wanted: date | None) -> date:
    """Return the night asked for; none that is over or more than a year ahead."""
    tonight = clock.today(controller.site.timezone)
    night = wanted or tonight
    if not tonight <= night <= tonight + AHEAD:
        raise Refused(f"Say a night from {tonight} to {tonight + AHEAD}.", field="effective")
    return night


def _overrides(controller: Controller, said: dict[str, Any]) -> Overrides:
    zones = {_id(key): dict(wish) for key, wish in said.get("zones", {}).items()}
    programs = {key: dict(wish) for key, wish in said.get("programs", {}).items()}
    return overrides_of(zones, programs, known=list(controller.zones.all()))


def _id(key: str) -> int:
    if not key.isascii() or not key.isdigit() or len(key) > len(str(BIGINT_MAX)):
        raise Refused("Name each zone by its id.", field="zones")
    return int(key)
