"""Which clients a list shows: by words, by what is open, by access and by the season of their sites."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Q, QuerySet

from fleet.models import Client, Finding, Site
from fleet.tenancy import TenantQuerySet
from scheduling.models import Change

OPEN = ("decide", "enter", "risk", "finding", "nothing")
ACCESS = ("open", "later", "closed")
SEASONS = tuple(Site.Season.values)
CLIENT_OF_CHANGE = "program__controller__site__client"
CLIENT_OF_FINDING = "zone__controller__site__client"


@dataclass(frozen=True)
class Choice:
    """What was asked of the list; an empty word leaves everything in."""

    words: str = ""
    open: str = ""
    access: str = ""
    season: str = ""
    sort: str = "client"
    down: bool = False


def chosen(clients: TenantQuerySet[Client], choice: Choice, *, on: date) -> TenantQuerySet[Client]:
    """Keep the clients a choice asks for."""
    if choice.words:
        named = _with(Site.objects.filter(name__icontains=choice.words), "client")
        clients = clients.filter(Q(name__icontains=choice.words) | named)
    if choice.open:
        clients = clients.filter(_open(choice.open))
    if choice.access:
        clients = clients.filter(_access(choice.access, on=on))
    if choice.season:
        clients = clients.filter(_with(Site.objects.filter(season=choice.season), "client"))
    return clients


def _open(what: str) -> Q:
    pending = Change.objects.filter(status=Change.Status.PENDING)
    found = {
        "decide": _with(pending, CLIENT_OF_CHANGE),
        "enter": _with(Change.objects.filter(status=Change.Status.APPROVED), CLIENT_OF_CHANGE),
        "risk": _with(pending.filter(risk_keep_level__gt=0), CLIENT_OF_CHANGE),
        "finding": _with(Finding.objects.filter(status=Finding.Status.OPEN), CLIENT_OF_FINDING),
    }
    if what == "nothing":
        return ~found["decide"] & ~found["enter"] & ~found["finding"]
    return found[what]


def _access(what: str, *, on: date) -> Q:
    if what == "closed":
        return Q(access_from=None)
    return Q(access_from__lte=on) if what == "open" else Q(access_from__gt=on)


def _with(rows: QuerySet[Any], path: str) -> Q:
    """Return the condition that one of these rows is at the client; they are few, so they are read once."""
    return Q(pk__in=rows.order_by().values(path))
