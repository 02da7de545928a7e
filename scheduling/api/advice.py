"""What would be worth doing, as it was last computed, and the change a line can become."""

from typing import Any

from django.db.models import Prefetch, QuerySet
from django_filters.rest_framework import ChoiceFilter
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_serializer
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from fleet.api.documented import LOCATION, ONCE, REPLAY, etag, reading
from fleet.api.filters import Filters, IdFilter
from fleet.api.once import once
from fleet.api.rows import Rows
from fleet.api.versions import etag_of
from scheduling.api.change_input import ProposeInput
from scheduling.api.change_output import ChangeDetail
from scheduling.models import Advice, Change, ChangeEvent
from scheduling.selectors.changes import changes_for
from scheduling.services.proposing import propose

EXAMPLE = {
    "id": 7,
    "controller": 3,
    "client": 1,
    "kind": "unlike zones",
    "program": 52,
    "zone": 14,
    "words": "Zone 4 Side shrubs is watered with zones whose soil lasts about 3 days; its own lasts 13 days.",
    "litres_week": 1537.0,
    "litres_year": None,
    "money_year": "61.20",
    "currency": "USD",
    "risk": 0,
    "facts": {"lasts_days": 13.2, "others_days": 3.1},
    "becomes": "program",
    "change": None,
    "change_status": None,
    "found_on": "2026-07-06",
    "dismissed_at": None,
    "dismissed_why": "",
}


@extend_schema_serializer(examples=[OpenApiExample("a zone among unlike ones", EXAMPLE)])
class AdviceRow(serializers.ModelSerializer):
    """One line; ``risk`` 0 none, 1 now and then, 2 plants suffer or a rule is broken.

    ``becomes`` is the kind of change ``propose`` makes of it, empty where a plan is needed; ``change`` the
    one it has become.
    """

    client = serializers.IntegerField(source="controller.site.client_id")
    change_status = serializers.ChoiceField(
        source="change.status", choices=Change.Status.choices, allow_null=True, default=None
    )

    class Meta:
        model = Advice
        fields = tuple(EXAMPLE)
        read_only_fields = fields


class AdviceFilters(Filters):
    """Whose, and of which kind."""

    client = IdFilter("controller__site__client")
    site = IdFilter("controller__site")
    controller = IdFilter("controller")
    kind = ChoiceFilter(choices=Advice.Kind.choices)


@reading("advice", many="Advice", one="One line of advice", row=AdviceRow)
class AdviceLines(Rows):
    """What would save water or plants; made anew after each night."""

    queryset = Advice.objects.none()
    serializer_class = AdviceRow
    filterset_class = AdviceFilters

    def get_queryset(self) -> QuerySet[Advice]:
        lines = Advice.objects.visible_to(self.request.user).filter(gone_on=None)
        return lines.select_related("controller__site__client", "change").defer(
            "change__inputs", "change__detail"
        )

    @extend_schema(
        summary="Make it a change",
        description="Computes the line anew and proposes what follows from it: 201 with the pending change, "
        "200 with the one it has become already. 409 if it no longer holds or another change of the same "
        "program is open; 400 if no single change follows from it.",
        tags=["advice"],
        parameters=[ONCE, REPLAY, LOCATION, etag(200), etag(201)],
        request=ProposeInput,
        responses={200: ChangeDetail, 201: ChangeDetail},
    )
    @action(detail=True, methods=["post"])
    @once
    def propose(self, request: Request, id: int) -> Response:
        user: Any = request.user
        line = self.get_object()
        said = ProposeInput(data=request.data)
        said.is_valid(raise_exception=True)
        found = propose(advice=line, by=user, **said.validated_data)
        events = Prefetch("events", queryset=ChangeEvent.objects.select_related("by"))
        change = changes_for(user).defer(None).prefetch_related(events).get(pk=found.change.pk)
        body = ChangeDetail(change).data
        headers = {"ETag": etag_of(body)}
        if found.new:
            headers["Location"] = reverse("api:change-detail", kwargs={"id": change.pk}, request=request)
        return Response(body, status=201 if found.new else 200, headers=headers)
