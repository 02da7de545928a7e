"""Changes: read them, and decide on them. Thin: each decision is one service."""

from collections.abc import Callable
from typing import Any

from django.db.models import Prefetch, QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer

from fleet.api.documented import IF_NONE_MATCH, ONCE, REPLAY, etag
from fleet.api.inputs import Input
from fleet.api.once import once
from fleet.api.rows import Rows
from fleet.api.versions import etag_of
from scheduling.api.change_filters import ChangeFilters
from scheduling.api.change_input import ApplyInput, ApproveInput, DeclineInput, UndoInput
from scheduling.api.change_output import ChangeDetail, ChangeRow
from scheduling.models import Change, ChangeEvent
from scheduling.selectors.changes import changes_for
from scheduling.services import decisions, entering

TAGS = ["changes"]
DECIDING = [ONCE, REPLAY, etag(200)]


@extend_schema_view(
    list=extend_schema(summary="Changes, newest first", tags=TAGS),
    retrieve=extend_schema(
        summary="One change with its inputs and events",
        tags=TAGS,
        parameters=[IF_NONE_MATCH, etag(200, 304)],
        responses={200: ChangeDetail, 304: None},
    ),
)
class Changes(Rows):
    """What is proposed, decided and entered. Only people of the company see changes."""

    queryset = Change.objects.none()
    filterset_class = ChangeFilters

    def get_queryset(self) -> QuerySet[Change]:
        changes = changes_for(self.request.user)
        if self.action == "list":
            return changes
        events = ChangeEvent.objects.select_related("by")
        return changes.defer(None).prefetch_related(Prefetch("events", queryset=events))

    def get_serializer_class(self) -> type[BaseSerializer]:
        return ChangeRow if self.action == "list" else ChangeDetail

    @extend_schema(
        summary="Approve",
        tags=TAGS,
        parameters=DECIDING,
        request=ApproveInput,
        responses=ChangeDetail,
        description="As proposed, or a percent with another value its controller can hold. Skips, minutes, "
        "days and program take no `value` (400).",
    )
    @action(detail=True, methods=["post"])
    @once
    def approve(self, request: Request, id: int) -> Response:
        return self._do(decisions.approve, ApproveInput)

    @extend_schema(
        summary="Decline and say why",
        tags=TAGS,
        parameters=DECIDING,
        request=DeclineInput,
        responses=ChangeDetail,
    )
    @action(detail=True, methods=["post"])
    @once
    def decline(self, request: Request, id: int) -> Response:
        return self._do(decisions.decline, DeclineInput)

    @extend_schema(
        summary="Say that it was entered",
        tags=TAGS,
        parameters=DECIDING,
        request=ApplyInput,
        responses=ChangeDetail,
        description="From then on the service plans from it. A skip holds for its own nights; minutes, days "
        "and program become versions of their programs from that night on.",
    )
    @action(detail=True, methods=["post"])
    @once
    def apply(self, request: Request, id: int) -> Response:
        return self._do(entering.apply, ApplyInput)

    @extend_schema(
        summary="Take a decision back",
        tags=TAGS,
        parameters=DECIDING,
        request=UndoInput,
        responses=ChangeDetail,
        description="Possible until the change was entered.",
    )
    @action(detail=True, methods=["post"])
    @once
    def undo(self, request: Request, id: int) -> Response:
        return self._do(decisions.undo, UndoInput)

    def _do(self, service: Callable[..., Any], body: type[Input]) -> Response:
        change = self.get_object()
        said = body(data=self.request.data)
        said.is_valid(raise_exception=True)
        service(change=change, by=self.request.user, **said.validated_data)
        body = self.get_serializer(self.get_object()).data
        return Response(body, headers={"ETag": etag_of(body)})
