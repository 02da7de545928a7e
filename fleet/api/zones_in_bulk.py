"""All zones of a controller in one request: all are stored, or none."""

from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.api.documented import ONCE, REPLAY
from fleet.api.inputs import ModelInput, Word
from fleet.api.once import once
from fleet.api.zones import EXAMPLE as ZONE
from fleet.api.zones import ZoneRow
from fleet.models import Controller, Zone
from fleet.models.zones import BASES, SURVEYED
from fleet.selectors.people import require_set_up
from fleet.services.zones_in_bulk import MOST_ZONES, RowsRefused, set_up_zones

ONE = {name: value for name, value in ZONE.items() if name != "controller"}
EXAMPLE = [ONE, ONE | {"number": 4, "name": "North bank"}]


class BulkZoneInput(ModelInput):
    """A zone as surveyed; leave out what nobody has looked at."""

    basis = serializers.DictField(child=Word(choices=BASES), required=False)

    class Meta:
        model = Zone
        fields = ("number", "name", *SURVEYED, "basis")


class ControllerZones(APIView):
    """The zones of one controller."""

    @extend_schema(
        operation_id="controllers_zones_create",
        summary="Set up all zones of a controller",
        description="A list of zones; all are stored, or none. `errors` names each row, counted from 0, and "
        "its field, such as `3.area_m2`.",
        tags=["zones"],
        parameters=[ONCE, REPLAY],
        request=BulkZoneInput(many=True),
        responses={201: ZoneRow(many=True)},
        examples=[OpenApiExample("two zones", EXAMPLE, request_only=True)],
    )
    @once
    def post(self, request: Request, id: int) -> Response:
        user: Any = request.user
        mine = Controller.objects.filter(site__client__company__in=user.company_ids())
        controller = get_object_or_404(mine.select_related("site__client"), pk=id)
        require_set_up(user, controller.site.client.company_id)
        rows = _rows(request)
        try:
            zones = set_up_zones(controller=controller, by=user, rows=rows)
        except RowsRefused as refused:
            raise serializers.ValidationError(_by_row(refused.errors)) from refused
        return Response(ZoneRow(zones, many=True).data, status=201)


def _rows(request: Request) -> list[dict[str, Any]]:
    if not isinstance(request.data, list) or not 0 < len(request.data) <= MOST_ZONES:
        raise serializers.ValidationError(f"Send a list of 1 to {MOST_ZONES} zones.")
    context = {"request": request}
    read = [BulkZoneInput(data=row, context=context) for row in request.data]
    wrong = {str(n): row.errors for n, row in enumerate(read) if not row.is_valid()}
    if wrong:
        raise serializers.ValidationError(wrong)
    return [dict(row.validated_data) for row in read]


def _by_row(errors: list[tuple[int, str, str]]) -> dict[str, Any]:
    by_row: dict[str, dict[str, list[str]]] = {}
    for n, name, message in errors:
        by_row.setdefault(str(n), {}).setdefault(name or "non_field_errors", []).append(message)
    return by_row
