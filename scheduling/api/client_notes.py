"""Notes from clients: written and withdrawn by their people, answered by the contractor's."""

from collections.abc import Callable
from typing import Any

from django.db.models import QuerySet
from django.http import Http404
from django_filters.rest_framework import MultipleChoiceFilter
from drf_spectacular.utils import (
    OpenApiExample,
    extend_schema,
    extend_schema_field,
    extend_schema_serializer,
    extend_schema_view,
)
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer

from fleet.api.documented import LOCATION, ONCE, REPLAY, etag, reading
from fleet.api.filters import DayFilter, Filters, IdFilter
from fleet.api.inputs import Day, Input, OwnRow, Text, Trimmed
from fleet.api.once import once
from fleet.api.rows import Rows
from fleet.api.versions import etag_of
from fleet.models import ClientNote, Site
from fleet.models.client_notes import LONGEST_WORDS
from fleet.selectors.people import require_decide
from fleet.services.client_notes import answer_note, withdraw_note, write_note
from fleet.tenancy import company_id_of
from scheduling.models import Change, Program
from scheduling.selectors.client_notes import WORDS, Told, notes_for
from scheduling.services.wishes import Chosen, Wish, grant, take_back, wishes_of

TAGS = ["client-notes"]
WRITTEN = {
    "site": 9,
    "words": "Please keep the lawn dry on Saturday, the choir sings there.",
    "dry_from": "2026-07-18",
}
SKIP = {
    "change": 412,
    "program": 52,
    "effective_from": "2026-07-17",
    "effective_to": "2026-07-17",
    "status": "approved",
}
EXAMPLE: dict[str, Any] = {
    "id": 7,
    **WRITTEN,
    "dry_to": "2026-07-18",
    "status": "granted",
    "outcome": "agreed",
    "by": 14,
    "written_at": "2026-07-14T08:12:40Z",
    "answer": "Gladly; enjoy the day.",
    "answered_by": 4,
    "answered_at": "2026-07-14T15:30:02Z",
    "skips": [SKIP],
}
OFFER: dict[str, Any] = {
    "program": 52,
    "effective_from": "2026-07-17",
    "effective_to": "2026-07-17",
    "starts_at": "2026-07-18T03:00:00-07:00",
    "needs_visit": False,
    "visit": None,
    "in_time": True,
    "effect": {"litres": -8200.0},
    "risk": {"keep": "unharmed", "change": "zone 2 short on Sun 19"},
    "unknown": "",
}


class NoteSkip(serializers.ModelSerializer):
    """A skip made for a note. ``change`` is read at the changes, by people of the company."""

    change = serializers.IntegerField(source="pk")

    class Meta:
        model = Change
        fields = ("change", "program", "effective_from", "effective_to", "status")
        read_only_fields = fields


@extend_schema_serializer(examples=[OpenApiExample("a note that became a skip", EXAMPLE)])
class NoteRow(serializers.ModelSerializer):
    """A note with what became of it. ``dry_from`` and ``dry_to`` are days at the site, both included.

    ``skips`` name nights, noon to noon: the night of Friday runs into Saturday's noon.
    """

    status = serializers.ChoiceField(choices=ClientNote.Status.choices, read_only=True)
    outcome = serializers.SerializerMethodField()
    skips = NoteSkip(source="changes", many=True, read_only=True)

    class Meta:
        model = ClientNote
        fields = tuple(EXAMPLE)
        read_only_fields = fields

    @extend_schema_field({"type": "string", "enum": sorted(WORDS)})
    def get_outcome(self, note: ClientNote) -> str:
        return Told(note, list(note.changes.all())).outcome


class NoteInput(Input):
    """A note about one of your sites. Without ``dry_to`` the one day is meant."""

    site = OwnRow(model=Site)
    words = Trimmed(max_length=LONGEST_WORDS)
    dry_from = Day(required=False, allow_null=True, default=None)
    dry_to = Day(required=False, allow_null=True, default=None)


class AnswerInput(Input):
    """What comes of it, in words."""

    answer = Trimmed(max_length=LONGEST_WORDS)


class ChosenInput(Input):
    """The nights of one program as they were offered."""

    program = OwnRow(model=Program)
    effective_from = Day()
    effective_to = Day()


class NoteSkipInput(Input):
    """The offered nights to leave out, and words to the client if there are any."""

    skips = serializers.ListField(child=ChosenInput(), min_length=1, max_length=200)
    answer = Text(required=False, allow_blank=True, default="", max_length=LONGEST_WORDS)


class OfferEffect(serializers.Serializer):
    litres = serializers.FloatField(allow_null=True)


class OfferRisk(serializers.Serializer):
    keep = serializers.CharField()
    change = serializers.CharField()


@extend_schema_serializer(examples=[OpenApiExample("one program", OFFER)])
class SkipOffer(serializers.Serializer):
    """What one program would leave out and what that does; ``unknown`` says why it can't be told."""

    program = serializers.IntegerField()
    effective_from = serializers.DateField()
    effective_to = serializers.DateField()
    starts_at = serializers.DateTimeField()
    needs_visit = serializers.BooleanField()
    visit = serializers.DateField(allow_null=True)
    in_time = serializers.BooleanField()
    effect = OfferEffect()
    risk = OfferRisk()
    unknown = serializers.CharField()


class SkipOffers(serializers.Serializer):
    offers = SkipOffer(many=True)


class NoteFilters(Filters):
    client = IdFilter("site__client")
    site = IdFilter("site")
    status = MultipleChoiceFilter(field_name="status", choices=ClientNote.Status.choices)
    dry_after = DayFilter("dry_to", lookup_expr="gte")
    dry_before = DayFilter("dry_from", lookup_expr="lte")


def _does(summary: str, body: Any, *, example: dict[str, Any] | None = None, **more: Any) -> Any:
    examples = [OpenApiExample("as sent", example, request_only=True)] if example is not None else []
    return extend_schema(
        summary=summary,
        tags=TAGS,
        parameters=[ONCE, REPLAY, etag(200)],
        request=body,
        responses={200: NoteRow},
        examples=examples,
        **more,
    )


@reading("client-notes", many="Notes from clients, newest first", one="One note", row=NoteRow)
@extend_schema_view(
    create=extend_schema(
        summary="Write a note",
        description="By a person who reads the site as its client's. Five may wait for an answer.",
        tags=TAGS,
        parameters=[ONCE, REPLAY, LOCATION, etag(201)],
        request=NoteInput,
        responses={201: NoteRow},
        examples=[OpenApiExample("as written", WRITTEN, request_only=True)],
    ),
    answer=_does("Answer in words", AnswerInput, example={"answer": "We will move the start to 3:00."}),
    withdraw=_does("Withdraw a waiting note", None, description="Only who wrote it may."),
    take_back=_does(
        "Take an answer back",
        None,
        description="The note waits again; possible until a skip made for it was entered.",
    ),
    skip=_does(
        "Leave nights out for a note",
        NoteSkipInput,
        example={
            "skips": [{name: OFFER[name] for name in ("program", "effective_from", "effective_to")}],
            "answer": "Gladly; enjoy the day.",
        },
        description="Each program gets an approved skip, entered at its controller as any other. 409 if a "
        "program no longer waters as it was offered.",
    ),
    offers=extend_schema(
        summary="What could be left out for a note, and what it does to the plants",
        tags=TAGS,
        responses={200: SkipOffers},
    ),
)
class ClientNotes(Rows):
    """What clients wrote about their sites and what became of it. A reader sees those of their own sites."""

    queryset = ClientNote.objects.none()
    filterset_class = NoteFilters

    def get_queryset(self) -> QuerySet[ClientNote]:
        return notes_for(self.request.user)

    def get_serializer_class(self) -> type[BaseSerializer]:
        return NoteRow

    @once
    def create(self, request: Request) -> Response:
        note = write_note(by=self._person, **self._said(NoteInput))
        body = self._body(note.pk)
        address = self.reverse_action("detail", kwargs={"id": note.pk})
        return Response(body, status=201, headers={"ETag": etag_of(body), "Location": address})

    @action(detail=True, methods=["post"])
    @once
    def answer(self, request: Request, id: int) -> Response:
        require_decide(self._person, company_id_of(self.get_object()))
        return self._do(answer_note, AnswerInput)

    @action(detail=True, methods=["post"])
    @once
    def withdraw(self, request: Request, id: int) -> Response:
        return self._do(withdraw_note)

    @action(detail=True, methods=["post"], url_path="take-back")
    @once
    def take_back(self, request: Request, id: int) -> Response:
        return self._do(take_back)

    @action(detail=True, methods=["post"])
    @once
    def skip(self, request: Request, id: int) -> Response:
        note = self.get_object()
        require_decide(self._person, company_id_of(note))
        said = self._said(NoteSkipInput)
        chosen = [
            Chosen(one["program"].pk, one["effective_from"], one["effective_to"]) for one in said["skips"]
        ]
        grant(note=note, by=self._person, chosen=chosen, answer=said["answer"])
        return self._answered(note.pk)

    @action(detail=True, filterset_class=None, pagination_class=None)
    def offers(self, request: Request, id: int) -> Response:
        note = self.get_object()
        if not self._person.role_in(company_id_of(note)):
            raise Http404
        return Response({"offers": [_offer(one) for one in wishes_of(note)]})

    @property
    def _person(self) -> Any:
        return self.request.user

    def _said(self, body: type[Input]) -> dict[str, Any]:
        said = body(data=self.request.data, context=self.get_serializer_context())
        said.is_valid(raise_exception=True)
        return dict(said.validated_data)

    def _do(self, service: Callable[..., Any], body: type[Input] | None = None) -> Response:
        note = self.get_object()
        service(note=note, by=self._person, **(self._said(body) if body is not None else {}))
        return self._answered(note.pk)

    def _answered(self, pk: int) -> Response:
        body = self._body(pk)
        return Response(body, headers={"ETag": etag_of(body)})

    def _body(self, pk: int) -> Any:
        return self.get_serializer(self.get_queryset().get(pk=pk)).data


def _offer(wish: Wish) -> dict[str, Any]:
    nights, proposal = wish.nights, wish.proposal
    return {
        "program": nights.program.pk,
        "effective_from": nights.first.isoformat(),
        "effective_to": nights.last.isoformat(),
        "starts_at": nights.starts.isoformat(),
        "needs_visit": nights.needs_visit,
        "visit": nights.visit.isoformat() if nights.visit else None,
        "in_time": nights.in_time,
        "effect": {"litres": round(proposal.litres, 1) if proposal else None},
        "risk": {
            "keep": proposal.keep_words if proposal else "",
            "change": proposal.change_words if proposal else "",
        },
        "unknown": wish.why_not,
    }
