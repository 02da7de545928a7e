"""What happened at a site: facts and decisions of every sort on one line of time, newest first.

Each table is asked for at most a page of rows behind the last one shown, ordered by day and key, so a page
costs the same however long the history is; the few rows of each are then merged. What a person may not see of
a table (``visible_to``) is not in it: clients get facts, never decisions, visits, findings or notes.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import islice
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import F, Q
from django.db.models.functions import TruncDate

from fleet.models import (
    CanAudit,
    Client,
    Finding,
    Site,
    SiteCorrection,
    SiteRain,
    SoilObservation,
    Visit,
    ZoneEpisode,
    ZoneRound,
    ZoneTest,
    ZoneTrim,
)
from fleet.tenancy import TenantModel
from scheduling.models import Change, Program, Setting, Skip

DECIDED = (Change.Status.APPROVED, Change.Status.APPLIED, Change.Status.DECLINED, Change.Status.EXPIRED)


EVERY = Q()


@dataclass(frozen=True)
class Sort:
    """One sort of rows: its table, the path to the site, the day it counts for."""

    key: str
    label: str
    model: type[TenantModel]
    site: str
    day: str
    program: str | None = None  # path to the program, "" for the program itself
    zone: str | None = None
    related: Sequence[str] = ()
    only: Q = EVERY
    past: bool = False  # what is planned for a later day isn't history


SORTS = (
    Sort(
        "decisions", "Decisions", Change, "program__controller__site", "decided_at", program="program",
        related=("program__controller", "decided_by"), only=Q(decided_at__isnull=False, status__in=DECIDED),
    ),
    Sort(
        "percents", "Percents", Setting, "program__controller__site", "effective_from", program="program",
        related=("program__controller", "change__decided_by"),
    ),
    Sort(
        "skips", "Skips", Skip, "program__controller__site", "effective_from", program="program",
        related=("program__controller", "change__decided_by"),
    ),
    Sort(
        "programs", "Programs", Program, "controller__site", "effective", program="", related=("controller",)
    ),
    Sort(
        "soil", "Soil observations", SoilObservation, "zone__controller__site", "date", zone="zone",
        related=("zone__controller", "by"),
    ),
    Sort(
        "trims", "Corrections of zones", ZoneTrim, "zone__controller__site", "effective_from", zone="zone",
        related=("zone__controller", "by"),
    ),
    Sort(
        "corrections", "Corrections of the site", SiteCorrection, "site", "effective_from", related=("by",)
    ),
    Sort(
        "episodes", "Zones not watered by need", ZoneEpisode, "zone__controller__site", "effective_from",
        zone="zone", related=("zone__controller",),
    ),
    Sort(
        "rounds", "Rounds through zones", ZoneRound, "site", "began_on", related=("controller", "site", "by"),
    ),
    Sort(
        "tests", "Zone tests", ZoneTest, "zone__controller__site", "date", zone="zone",
        related=("zone__controller", "by"),
    ),
    Sort(
        "cans", "Catch cans", CanAudit, "zone__controller__site", "date", zone="zone",
        related=("zone__controller", "by"),
    ),
    Sort("rain", "Rain seen on the site", SiteRain, "site", "date", related=("by",)),
    Sort("visits", "Visits", Visit, "site", "date", past=True),
    Sort(
        "findings", "Findings", Finding, "zone__controller__site", "found_on", zone="zone",
        related=("zone__controller",),
    ),
    Sort("access", "Access", Client, "sites", "access_from", only=Q(access_from__isnull=False), past=True),
)  # fmt: skip
PLACE = {sort.key: place for place, sort in enumerate(SORTS)}


@dataclass(frozen=True)
class Entry:
    """One row on the line of time."""

    day: date
    sort: Sort
    row: Any

    @property
    def key(self) -> tuple[date, int, int]:
        """Return its place: later days first, on a day by sort, of a sort the newest row first."""
        return self.day, -PLACE[self.sort.key], self.row.pk

    @property
    def mark(self) -> str:
        """Return its place as text, to go on behind it."""
        return f"{self.day.isoformat()}.{PLACE[self.sort.key]}.{self.row.pk}"


@dataclass(frozen=True)
class Wanted:
    """What is asked for: one sort, one program (controller and letter) or zone, some days."""

    sort: str = ""
    program: tuple[int, str] | None = None
    zone: int | None = None
    first: date | None = None
    last: date | None = None


def sorts_for(*, staff: bool) -> list[Sort]:
    """Return the sorts a person may read: a client those whose rows name a path to the client."""
    return [sort for sort in SORTS if staff or sort.model.client_path is not None]


def site_history(
    user: Any, site: Site, wanted: Wanted, *, on: date, after: str = "", most: int
) -> list[Entry]:
    """Return the newest ``most`` entries behind ``after``; one query a sort, whatever there is."""
    behind = _place(after)
    lists = [
        _rows(user, site, sort, wanted, on=on, behind=behind, most=most)
        for sort in SORTS
        if _asked(sort, wanted)
    ]
    return list(islice(heapq.merge(*lists, key=lambda entry: entry.key, reverse=True), most))


def _asked(sort: Sort, wanted: Wanted) -> bool:
    if wanted.program is not None and sort.program is None:
        return False
    if wanted.zone is not None and sort.zone is None:
        return False
    return wanted.sort in ("", sort.key)


def _rows(
    user: Any,
    site: Site,
    sort: Sort,
    wanted: Wanted,
    *,
    on: date,
    behind: tuple[date, int, int] | None,
    most: int,
) -> list[Entry]:
    day: Any = F(sort.day)
    if sort.day == "decided_at":
        day = TruncDate("decided_at", tzinfo=ZoneInfo(site.timezone))
    rows: Any = sort.model._default_manager
    found = rows.visible_to(user).filter(sort.only, **{sort.site: site}).annotate(day=day)
    found = found.filter(_filter(sort, wanted), _behind(sort, behind))
    if sort.past:
        found = found.filter(day__lte=on)
    if sort.related:
        found = found.select_related(*sort.related)
    if sort.model is Change:
        found = found.defer("inputs")
    return [Entry(row.day, sort, row) for row in found.order_by("-day", "-pk")[:most]]


def _filter(sort: Sort, wanted: Wanted) -> Q:
    what = Q()
    if wanted.program is not None:
        controller, letter = wanted.program
        path = f"{sort.program}__" if sort.program else ""
        what &= Q(**{f"{path}controller": controller, f"{path}letter": letter})
    if wanted.zone is not None:
        what &= Q(**{f"{sort.zone}": wanted.zone})
    if wanted.first is not None:
        what &= Q(day__gte=wanted.first)
    if wanted.last is not None:
        what &= Q(day__lte=wanted.last)
    return what


def _behind(sort: Sort, behind: tuple[date, int, int] | None) -> Q:
    if behind is None:
        return Q()
    day, place, pk = behind
    own = PLACE[sort.key]
    if own > place:
        return Q(day__lte=day)
    return Q(day__lt=day) | Q(day=day, pk__lt=pk) if own == place else Q(day__lt=day)


def _place(mark: str) -> tuple[date, int, int] | None:
    """Return the place a mark means, None where it means nothing."""
    try:
        day, place, pk = mark.split(".")
        found = date.fromisoformat(day[:10]), int(place[:2]), int(pk[:18])
    except ValueError:
        return None
    return found
