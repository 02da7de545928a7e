"""What each of many clients used and saved over whole months, from the months kept, in few queries."""

from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple

from django.db.models import Count, Min, Q, QuerySet, Sum

from common.months import last_of_month
from fleet.models import Client
from reports.models import ProgramMonth, SiteMonth, UseAlert
from reports.selectors.by_client.measured import Measured, measured_by_client
from reports.selectors.fleet import SAVED

Ids = QuerySet[Client, Any]  # their numbers
OF_PROGRAM = "controller__site__client"
OF_SITE = "site__client"
OF_ALERT = "meter__site__client"
SUMS = {
    "of_applied_l": Sum("applied_l"),
    "of_baseline_l": Sum("found_l"),
    "of_saved_l": Sum(SAVED),
    "of_need_l": Sum("need_l"),
    "of_short_l": Sum("short_l"),
}


@dataclass(frozen=True)
class Months:
    """Whole months, each by its first day, both included."""

    first: date
    last: date

    @property
    def through(self) -> date:
        """Return the last day of the last month."""
        return last_of_month(self.last)

    @property
    def rows(self) -> Q:
        """Return the condition that a row's month is one of them."""
        return Q(month__gte=self.first, month__lte=self.last)


@dataclass(frozen=True)
class Water:
    """What one client or many used and saved; None where nothing is known. [L]

    ``compared_l``, ``explained_l`` and ``compared_budget_l`` are metered use, applied water and budget of the
    days on which the meters of a site know all it took and the account counts every zone.
    """

    applied_l: float | None = None
    baseline_l: float | None = None
    saved_l: float | None = None
    need_l: float = 0.0
    short_l: float = 0.0
    budget_l: float | None = None
    metered_l: float | None = None
    metered_days: int = 0
    days: int = 0
    mixed: bool = False
    compared_days: int = 0
    compared_l: float = 0.0
    explained_l: float = 0.0
    compared_budget_l: float | None = None
    measured: Measured | None = None
    alerts: int = 0
    alerts_l: float = 0.0
    alert_site: int | None = None

    @property
    def share(self) -> float | None:
        """Return what was saved as a share of what the settings found would have used. [-]"""
        return self.saved_l / self.baseline_l if self.saved_l is not None and self.baseline_l else None

    @property
    def adequacy(self) -> float | None:
        """Return how much of the plants' need was met. [-]"""
        return 1.0 - self.short_l / self.need_l if self.need_l else None

    @property
    def of_budget(self) -> float | None:
        """Return estimated use as a share of the water budget. [-]"""
        return self.applied_l / self.budget_l if self.applied_l is not None and self.budget_l else None

    @property
    def metered_of_budget(self) -> float | None:
        """Return metered use as a share of the water budget of the same days. [-]"""
        return self.compared_l / self.compared_budget_l if self.compared_budget_l else None

    @property
    def unexplained_l(self) -> float | None:
        """Return what meters counted beyond what was applied on the same days, below 0 where less. [L]"""
        return self.compared_l - self.explained_l if self.compared_days else None

    @property
    def metered_share(self) -> float | None:
        """Return on how many of the days all meters are known. [-]"""
        return self.metered_days / self.days if self.days else None


class Named(NamedTuple):
    """What a line says of its client."""

    pk: int
    name: str
    site_count: int


@dataclass(frozen=True)
class Line:
    """One client's line."""

    client: Named
    water: Water


def lines_of(clients: QuerySet[Client], months: Months) -> list[Line]:
    """Return the lines of some clients by number, in a fixed number of queries."""
    own: Ids = clients.order_by().values("pk")
    found = Client.objects.filter(pk__in=own).order_by("pk")
    named = found.annotate(site_count=Count("sites")).values_list("pk", "name", "site_count")
    estimated, of_sites = _estimated(own, months), _of_sites(own, months)
    measured, alerts = measured_by_client(own, months.rows), _alerts(own, months)
    return [
        Line(
            Named(pk, name, sites),
            Water(
                **estimated.get(pk, {}),
                **of_sites.get(pk, {}),
                **alerts.get(pk, {}),
                measured=measured.get(pk),
            ),
        )
        for pk, name, sites in named
    ]


def _estimated(ids: Ids, months: Months) -> dict[int, dict[str, Any]]:
    rows = ProgramMonth.objects.filter(months.rows, **{f"{OF_PROGRAM}__in": ids}).order_by()
    told = rows.values(OF_PROGRAM).annotate(**SUMS)
    return {
        row.pop(OF_PROGRAM): {name.removeprefix("of_"): sum_ for name, sum_ in row.items()} for row in told
    }


def _of_sites(ids: Ids, months: Months) -> dict[int, dict[str, Any]]:
    rows = SiteMonth.objects.filter(months.rows, **{f"{OF_SITE}__in": ids}).order_by()
    told = rows.values(OF_SITE).annotate(
        budget=Sum("budget_l"),
        unknown=Count("pk", filter=Q(budget_l=None)),
        metered=Sum("metered_l"),
        known=Sum("metered_days"),
        so_many=Sum("days"),
        indoors=Count("pk", filter=Q(mixed=True)),
        compared=Sum("compared_days"),
        counted=Sum("compared_l"),
        applied=Sum("explained_l"),
        own_budget=Sum("compared_budget_l"),
        own_unknown=Count("pk", filter=Q(compared_budget_l=None)),
    )
    return {row[OF_SITE]: _site_figures(row) for row in told}


def _site_figures(row: dict[str, Any]) -> dict[str, Any]:
    return {
        "budget_l": None if row["unknown"] else row["budget"] or None,
        "metered_l": row["metered"],
        "metered_days": row["known"],
        "days": row["so_many"],
        "mixed": row["indoors"] > 0,
        "compared_days": row["compared"],
        "compared_l": row["counted"],
        "explained_l": row["applied"],
        "compared_budget_l": None if row["own_unknown"] else row["own_budget"] or None,
    }


def _alerts(ids: Ids, months: Months) -> dict[int, dict[str, Any]]:
    rows = UseAlert.objects.filter(
        dismissed_at=None, first__lte=months.through, last__gte=months.first, **{f"{OF_ALERT}__in": ids}
    )
    told = rows.order_by().values_list(OF_ALERT).annotate(Count("pk"), Sum("litres"), Min("meter__site"))
    return {pk: {"alerts": count, "alerts_l": litres, "alert_site": site} for pk, count, litres, site in told}
