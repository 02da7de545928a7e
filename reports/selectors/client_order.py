"""The order of the clients list, by any of its columns. Who has no figure comes last either way."""

from collections.abc import Callable
from datetime import date
from typing import Any

from django.db.models import Count, F, FloatField, Max, Min, Q, Sum
from django.db.models.functions import Cast, Lower, NullIf

from fleet.models import Client, Finding, Site, Visit
from fleet.tenancy import TenantQuerySet
from reports.models import ProgramMonth
from reports.selectors.client_choice import Choice
from reports.selectors.counting import counted
from reports.selectors.fleet import SAVED, this_year
from scheduling.models import Change

CHANGES = "controllers__programs__changes"
FINDINGS = "controllers__zones__findings"
CLIENT_OF_MONTH = "controller__site__client"
NEED_MET = 1.0 - Cast(Sum("short_l"), FloatField()) / NullIf(Sum("need_l"), 0.0)


def in_order(clients: TenantQuerySet[Client], choice: Choice, *, on: date) -> Any:
    """Return clients sorted by one column, then by name."""
    by_name = (Lower("name"), "pk")
    if choice.sort == "client":
        return clients.order_by(Lower("name").desc() if choice.down else Lower("name"), "pk")
    key = F("sort_key").desc(nulls_last=True) if choice.down else F("sort_key").asc(nulls_last=True)
    return clients.annotate(sort_key=COLUMNS[choice.sort](on)).order_by(key, *by_name)


def _month(on: date) -> Any:
    return _summed(SAVED, first=on.replace(day=1))


def _saved(on: date) -> Any:
    return _summed(SAVED, first=this_year(on))


def _used(on: date) -> Any:
    return _summed(F("applied_l"), first=this_year(on))


def _need(on: date) -> Any:
    return counted(
        ProgramMonth.objects.filter(month__gte=this_year(on)), CLIENT_OF_MONTH, by=NEED_MET, empty=None
    )


def _waiting(on: date) -> Any:
    # From the site down, so that each client's own programs are read and not every waiting change for each.
    waiting = Q(**{f"{CHANGES}__status__in": [Change.Status.PENDING, Change.Status.APPROVED]})
    changes = Count(f"{CHANGES}__pk", filter=waiting)
    found = Q(**{f"{FINDINGS}__status": Finding.Status.OPEN})
    findings = Count(f"{FINDINGS}__pk", filter=found)
    return counted(Site.objects.all(), "client", by=changes) + counted(
        Site.objects.all(), "client", by=findings
    )


def _last(on: date) -> Any:
    return counted(Visit.objects.filter(done_at__isnull=False), "site__client", by=Max("date"), empty=None)


def _next(on: date) -> Any:
    planned = Visit.objects.filter(done_at=None, date__gte=on)
    return counted(planned, "site__client", by=Min("date"), empty=None)


def _summed(figure: Any, *, first: date) -> Any:
    return counted(ProgramMonth.objects.filter(month__gte=first), CLIENT_OF_MONTH, by=Sum(figure), empty=None)


COLUMNS: dict[str, Callable[[date], Any]] = {
    "month": _month,
    "saved": _saved,
    "used": _used,
    "need": _need,
    "open": _waiting,
    "last": _last,
    "next": _next,
}
SORTS = ("client", *COLUMNS)
