"""The clients list: which clients, in which order, and what each line tells. All of it in the database."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from django.db.models import Count, Max, Min, Q, QuerySet

from fleet.models import Client, Finding, Visit, ZoneEpisode
from fleet.selectors.episodes import going_on
from reports.selectors.client_choice import CLIENT_OF_CHANGE, CLIENT_OF_FINDING, Choice, chosen
from reports.selectors.client_order import in_order
from reports.selectors.fleet import NOTHING, Totals, this_year, totals_of
from scheduling.models import Change

AT_ONCE = 400
PENDING, APPROVED = Change.Status.PENDING, Change.Status.APPROVED


@dataclass(frozen=True)
class Waiting:
    """What is open at a client."""

    decide: int = 0
    risk: int = 0
    enter: int = 0
    findings: int = 0

    @property
    def nothing(self) -> bool:
        """Tell that nothing is."""
        return not (self.decide or self.enter or self.findings)


@dataclass(frozen=True)
class ClientRow:
    """One line of the clients list."""

    client: Any
    month: Totals
    year: Totals
    waiting: Waiting
    last_visit: date | None
    next_visit: date | None
    away: int = 0  # zones not watered by need tonight, which no figure of the line counts


def clients_listed(user: Any, company_id: int, choice: Choice, *, on: date) -> QuerySet[Client]:
    """Return a person's clients of a company that a choice leaves, in its order."""
    clients = Client.objects.visible_to(user).of_company(company_id)
    listed: QuerySet[Client] = in_order(chosen(clients, choice, on=on), choice, on=on)
    return listed


def every_row(listed: QuerySet[Client], *, on: date) -> Iterator[ClientRow]:
    """Yield the lines of a whole list, some hundreds at a time."""
    ids = list(listed.values_list("pk", flat=True))
    for start in range(0, len(ids), AT_ONCE):
        yield from client_rows(ids[start : start + AT_ONCE], on=on)


def client_rows(ids: Sequence[int], *, on: date) -> list[ClientRow]:
    """Return the lines of some clients in the order of ``ids``, in a fixed number of queries."""
    clients = Client.objects.filter(pk__in=ids).annotate(site_count=Count("sites")).in_bulk()
    month = totals_of(ids, first=on.replace(day=1))
    year = totals_of(ids, first=this_year(on))
    waiting, visits, away = _waiting(ids), _visits(ids, on=on), _away(ids, on=on)
    return [
        ClientRow(
            client=clients[pk],
            month=month.get(pk, NOTHING),
            year=year.get(pk, NOTHING),
            waiting=waiting.get(pk, Waiting()),
            last_visit=visits.get(pk, (None, None))[0],
            next_visit=visits.get(pk, (None, None))[1],
            away=away.get(pk, 0),
        )
        for pk in ids
        if pk in clients
    ]


def _waiting(ids: Sequence[int]) -> dict[int, Waiting]:
    changes = Change.objects.filter(status__in=[PENDING, APPROVED], **{f"{CLIENT_OF_CHANGE}__in": ids})
    counts = (
        changes.order_by()
        .values_list(CLIENT_OF_CHANGE)
        .annotate(
            decide=Count("pk", filter=Q(status=PENDING)),
            risk=Count("pk", filter=Q(status=PENDING, risk_keep_level__gt=0)),
            enter=Count("pk", filter=Q(status=APPROVED)),
        )
    )
    of_changes = {pk: Waiting(decide, risk, enter) for pk, decide, risk, enter in counts}
    found = Finding.objects.filter(status=Finding.Status.OPEN, **{f"{CLIENT_OF_FINDING}__in": ids})
    findings = dict(found.order_by().values_list(CLIENT_OF_FINDING).annotate(count=Count("pk")))
    return {
        pk: replace(of_changes.get(pk, Waiting()), findings=findings.get(pk, 0))
        for pk in of_changes.keys() | findings.keys()
    }


def _away(ids: Sequence[int], *, on: date) -> dict[int, int]:
    rows = ZoneEpisode.objects.filter(going_on(on), **{f"{CLIENT_OF_FINDING}__in": ids})
    return dict(rows.order_by().values_list(CLIENT_OF_FINDING).annotate(zones=Count("zone", distinct=True)))


def _visits(ids: Sequence[int], *, on: date) -> dict[int, tuple[date | None, date | None]]:
    visits = Visit.objects.filter(site__client__in=ids).order_by().values_list("site__client")
    told = visits.annotate(
        last=Max("date", filter=Q(done_at__isnull=False)),
        coming=Min("date", filter=Q(done_at=None, date__gte=on)),
    )
    return {pk: (last, coming) for pk, last, coming in told}
