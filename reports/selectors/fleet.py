"""The company's clients with what was saved for each, from the monthly totals: few rows for any fleet."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, F, Max, Min, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from fleet.models import Client, Site, Visit
from reports.models import ProgramMonth
from scheduling.models import Change


@dataclass(frozen=True)
class Totals:
    """Estimated litres of some months; None where nothing has been counted yet."""

    applied_l: float | None
    found_l: float | None
    saved_l: float | None
    saved_monthly_l: float | None
    adequacy: float | None

    @property
    def share(self) -> float | None:
        """Return what was saved as a share of what the settings found would have used."""
        return self.saved_l / self.found_l if self.saved_l is not None and self.found_l else None


NOTHING = Totals(None, None, None, None, None)


@dataclass(frozen=True)
class ClientRow:
    """One line of the clients list."""

    client: Any
    month: Totals
    season: Totals


def client_rows(user: Any, company_id: int, *, on: date, words: str = "") -> list[ClientRow]:
    """Return a person's clients of a company with their totals, in a fixed number of queries."""
    clients = list(_clients(user, company_id, on=on, words=words))
    ids = [client.pk for client in clients]
    month = _totals(ids, first=on.replace(day=1))
    season = _totals(ids, first=on.replace(month=1, day=1))
    return [
        ClientRow(client, month.get(client.pk, NOTHING), season.get(client.pk, NOTHING)) for client in clients
    ]


def company_totals(user: Any, company_id: int, *, first: date) -> Totals:
    """Return the totals of a company's clients from a month on."""
    rows = ProgramMonth.objects.visible_to(user).of_company(company_id).filter(month__gte=first)
    return _as_totals(rows.aggregate(**_SUMS))


_SUMS = {
    "applied": Sum("applied_l"),
    "found": Sum("found_l"),
    "found_withheld": Sum("found_withheld_l"),
    "monthly": Sum("monthly_l"),
    "monthly_withheld": Sum("monthly_withheld_l"),
    "applied_with_monthly": Sum("applied_l", filter=Q(monthly_l__isnull=False)),
    "need": Sum("need_l"),
    "short": Sum("short_l"),
}


def _totals(client_ids: list[int], *, first: date) -> dict[int, Totals]:
    rows = (
        ProgramMonth.objects.filter(controller__site__client__in=client_ids, month__gte=first)
        .order_by()
        .values("controller__site__client")
        .annotate(**_SUMS)
    )
    return {row["controller__site__client"]: _as_totals(dict(row)) for row in rows}


def _as_totals(row: dict[str, Any]) -> Totals:
    if row["applied"] is None:
        return NOTHING
    monthly = None
    if row["monthly"] is not None:
        monthly = row["monthly"] - row["applied_with_monthly"] - row["monthly_withheld"]
    return Totals(
        applied_l=row["applied"],
        found_l=row["found"],
        saved_l=row["found"] - row["applied"] - row["found_withheld"],
        saved_monthly_l=monthly,
        adequacy=1.0 - row["short"] / row["need"] if row["need"] else None,
    )


def _clients(user: Any, company_id: int, *, on: date, words: str) -> QuerySet[Client]:
    pending = Change.objects.filter(status=Change.Status.PENDING)
    to_enter = Change.objects.filter(status=Change.Status.APPROVED)
    at_client = Visit.objects.filter(site__client=OuterRef("pk")).order_by().values("site__client")
    return (
        Client.objects.visible_to(user)
        .of_company(company_id)
        .filter(Q(name__icontains=words) | Q(sites__name__icontains=words))
        .distinct()
        .annotate(
            site_count=_count(Site.objects.all(), "client"),
            pending_count=_count(pending, "program__controller__site__client"),
            risk_count=_count(pending.filter(risk_keep_level__gt=0), "program__controller__site__client"),
            enter_count=_count(to_enter, "program__controller__site__client"),
            last_visit=Subquery(
                at_client.filter(done_at__isnull=False).annotate(day=Max("date")).values("day")
            ),
            next_visit=Subquery(
                at_client.filter(done_at=None, date__gte=on).annotate(day=Min("date")).values("day")
            ),
        )
        .order_by(F("name").asc())
    )


def _count(rows: QuerySet[Any], path: str) -> Coalesce:
    """Return the count of rows at a client, each counted by itself: joined together they would multiply."""
    own = rows.filter(**{path: OuterRef("pk")}).order_by().values(path).annotate(n=Count("pk"))
    return Coalesce(Subquery(own.values("n")), 0)
