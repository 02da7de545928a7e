"""What stands around a client's savings: sites with their state, visits, findings."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import F, QuerySet

from fleet.models import Client, Finding, Site, Visit
from reports.selectors.counting import counted
from scheduling.models import Change

VISITS = 12


@dataclass(frozen=True)
class Visits:
    """Trips to a client's sites."""

    coming: list[Visit]
    missed: list[Visit]
    past: list[Visit]
    each: Decimal | None = None  # what a usual one costs, where the company says so
    made: int = 0  # this year

    @property
    def cost(self) -> Decimal | None:
        """Return what those made this year come to."""
        return self.each * self.made if self.each is not None else None


def sites_of(client: Client) -> list[Any]:
    """Return a client's sites with what is open at each."""
    pending = Change.objects.filter(status=Change.Status.PENDING)
    to_enter = Change.objects.filter(status=Change.Status.APPROVED)
    findings = Finding.objects.filter(status=Finding.Status.OPEN)
    return list(
        Site.objects.filter(client=client)
        .select_related("watering_rule", "town")
        .annotate(
            pending_count=counted(pending, "program__controller__site"),
            enter_count=counted(to_enter, "program__controller__site"),
            finding_count=counted(findings, "zone__controller__site"),
        )
        .order_by("name")
    )


def visits_of(client: Client, *, on: date) -> Visits:
    """Return the coming trips, those that were planned and not made, and the latest made."""
    visits = Visit.objects.filter(site__client=client).select_related("site")
    planned = visits.filter(done_at=None)
    each = client.company.visit_cost
    made = visits.filter(done_at__isnull=False, date__year=on.year)
    return Visits(
        coming=list(planned.filter(date__gte=on).order_by("date", "pk")[:VISITS]),
        missed=list(planned.filter(date__lt=on).order_by("-date", "-pk")[:VISITS]),
        past=list(visits.filter(done_at__isnull=False).order_by("-date", "-pk")[:VISITS]),
        each=each,
        made=made.count() if each is not None else 0,
    )


def findings_of(client: Client) -> QuerySet[Finding]:
    """Return what is broken at a client's sites, what loses most water first."""
    return (
        Finding.objects.filter(zone__controller__site__client=client, status=Finding.Status.OPEN)
        .select_related("zone__controller__site")
        .order_by(F("lost_l_day").desc(nulls_last=True), "found_on", "pk")
    )
