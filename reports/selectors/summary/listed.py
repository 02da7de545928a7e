"""Where a whole company's summaries of a month stand, told in the database: counts, pages, what can go.

The same order of questions as ``states.standings`` asks of a few clients with all there is to show of them.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import (
    Case,
    Count,
    Exists,
    F,
    FilteredRelation,
    Max,
    Min,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)

from common import clock
from fleet.models import Client, ClientAccess, Site
from reports.models import Summary, SummaryLetter, SummaryStop
from reports.selectors.summary.states import (
    CLOSED,
    DRAFT,
    DRY_BELOW,
    EMPTY,
    HELD,
    LETTERS,
    LOOK,
    NOBODY,
    NOT_MADE,
    STOPPED,
    TO_PRINT,
    alerts_in,
)

State = Summary.State


@dataclass(frozen=True)
class Listed:
    """How many summaries of a month stand where, and when the newest draft that can go was made."""

    counts: Mapping[str, int]
    newest_draft: datetime | None

    @property
    def total(self) -> int:
        """Return how many clients there are."""
        return sum(self.counts.values())

    def of(self, states: set[str]) -> int:
        """Return how many stand in one of some states."""
        return sum(self.counts.get(state, 0) for state in states)


def with_standing(clients: QuerySet[Client], month: date) -> QuerySet[Any, Any]:
    """Return clients with the ``standing`` of their summary of a month, and the summary as ``made``."""
    zones = Site.objects.filter(client__in=clients.order_by().values("pk")).order_by()
    opened = Q(first_zone=None, access_from__lte=clock.today("UTC"))
    for zone in zones.values_list("timezone", flat=True).distinct():
        opened |= Q(first_zone=zone, access_from__lte=clock.today(zone))
    first = Site.objects.filter(client=OuterRef("pk")).order_by("pk").values("timezone")[:1]
    reads = ClientAccess.objects.filter(client=OuterRef("pk"), user__is_active=True)
    approved = Q(made__state=State.APPROVED)
    return clients.annotate(
        made=FilteredRelation("summaries", condition=Q(summaries__month=month)),
        first_zone=Subquery(first),
        letters_rank=_worst_letter(),
    ).annotate(
        standing=Case(
            When(approved & Q(letters_rank=None), then=Value(TO_PRINT)),
            *(When(approved & Q(letters_rank=n), then=Value(state)) for n, (_, state) in enumerate(LETTERS)),
            When(Exists(SummaryStop.objects.filter(client=OuterRef("pk"))), then=Value(STOPPED)),
            When(made__pk=None, then=Value(NOT_MADE)),
            When(made__state=State.HELD, then=Value(HELD)),
            When(~Q(made__empty=""), then=Value(EMPTY)),
            When(~opened | Q(access_from=None), then=Value(CLOSED)),
            When(Q(email="") & ~Exists(reads), then=Value(NOBODY)),
            When(made__adequacy__lt=DRY_BELOW, then=Value(LOOK)),
            When(Exists(alerts_in(month).filter(meter__site__client=OuterRef("pk"))), then=Value(LOOK)),
            default=Value(DRAFT),
        )
    )


def listed(clients: QuerySet[Client], month: date) -> Listed:
    """Count where the summaries of a month stand, in two queries."""
    rows = with_standing(clients, month).order_by().values("standing")
    told = list(rows.annotate(so_many=Count("pk"), newest=Max("made__made_at")))
    return Listed(
        counts={row["standing"]: row["so_many"] for row in told},
        newest_draft=next((row["newest"] for row in told if row["standing"] == DRAFT), None),
    )


def drafts_made_by(clients: QuerySet[Client], month: date, moment: datetime) -> QuerySet[Any, int]:
    """Return the summaries that can go as they are, made by a moment, by client's name."""
    rows = with_standing(clients, month).filter(standing=DRAFT, made__made_at__lte=moment)
    found: QuerySet[Any, int] = rows.order_by("name", "pk").values_list(F("made__pk"), flat=True)
    return found


def _worst_letter() -> Subquery:
    ranks = Case(*(When(letter__state=state, then=Value(n)) for n, (state, _) in enumerate(LETTERS)))
    rows = SummaryLetter.objects.filter(summary=OuterRef("made__pk")).order_by().values("summary")
    return Subquery(rows.annotate(rank=Min(ranks)).values("rank"))
