"""The week's changes on one sheet: chosen, sorted, grouped by client and site, in few queries."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Count, F, Q, QuerySet, Sum
from django.utils import timezone as real_time

from common import clock
from fleet.models import Client, Site, Visit, ZoneEpisode
from fleet.selectors.episodes import episodes_at
from scheduling.delivery import CHANNELS
from scheduling.models import Change
from scheduling.models.changes import ALTERATIONS, SKIPS
from scheduling.selectors.changes import RELATIONS, changes_for
from scheduling.selectors.week_order import in_order
from scheduling.selectors.week_rows import Row, rows_of

VIEWS = ("needs", "up", "down", "skips", "programs", "visit", "risk", "enter", "decided")
A_PAGE = 60
DRY = 2  # from this level on plants go dry, below it they only draw on what is kept in hand
SHOWN = (Change.Status.PENDING, Change.Status.APPROVED, Change.Status.APPLIED, Change.Status.DECLINED)


@dataclass(frozen=True)
class Choice:
    """Which changes to show and in which order. ``also`` are shown whatever they are by now."""

    view: str = "needs"
    sort: str = "client"
    words: str = ""
    also: tuple[int, ...] = ()


@dataclass
class OfSite:
    """The changes of one site."""

    site: Site
    rows: list[Row] = field(default_factory=list)
    next_visit: date | None = None
    away: list[ZoneEpisode] = field(default_factory=list)


@dataclass
class OfClient:
    """The sites of one client that have changes."""

    client: Client
    sites: list[OfSite] = field(default_factory=list)


@dataclass(frozen=True)
class Totals:
    """What all open changes would do together."""

    changes: int
    clients: int
    litres: float
    money: float
    at_risk: int
    by_policy: int


def decided_lately(on: date, timezone: str, *, days: int) -> Q:
    """Return the condition for a decision of the last days, by the business day or by real time."""
    span = timedelta(days=days)
    return Q(
        decided_at__gte=clock.moment(on, timezone) - span, decided_at__lte=clock.moment(on, timezone)
    ) | Q(decided_at__gte=real_time.now() - span)


def in_view(view: str, *, lately: Q) -> Q:
    """Return the condition for a view."""
    pending = Q(status=Change.Status.PENDING)
    visits = [name for name, channel in CHANNELS.items() if channel.needs_visit]
    not_known = ~Q(program__controller__delivery__in=list(CHANNELS))
    return {
        "needs": pending,
        "up": pending & Q(kind=Change.Kind.PERCENT, proposed__gt=F("current")),
        "down": pending & Q(kind=Change.Kind.PERCENT, proposed__lt=F("current")),
        "skips": pending & Q(kind__in=SKIPS),
        "programs": pending & Q(kind__in=ALTERATIONS),
        "visit": Q(status__in=(Change.Status.PENDING, Change.Status.APPROVED))
        & (Q(program__controller__delivery__in=visits) | not_known),
        "risk": pending & Q(risk_keep_level__gte=1),
        "enter": Q(status=Change.Status.APPROVED),
        "decided": Q(status__in=SHOWN[1:]) & lately,
    }[view]


def _of_the_week(lately: Q) -> Q:
    """Return the condition for what the sheet can show at all, so that years of history aren't counted."""
    return Q(status__in=(Change.Status.PENDING, Change.Status.APPROVED)) | (Q(status__in=SHOWN) & lately)


def week_counts(user: Any, company_id: int, *, lately: Q) -> dict[str, int]:
    """Return how many changes each view holds, in one query."""
    wanted = {view: Count("pk", filter=in_view(view, lately=lately)) for view in VIEWS}
    shown = _mine(user, company_id).filter(_of_the_week(lately)).order_by()
    return dict(shown.aggregate(**wanted))


def week_totals(user: Any, company_id: int, *, lately: Q) -> Totals:
    """Return what all open changes would do together, in one query. Money follows the sign of the water."""
    pending = Q(status=Change.Status.PENDING)
    sums = (
        _mine(user, company_id)
        .filter(_of_the_week(lately))
        .order_by()
        .aggregate(
            changes=Count("pk", filter=pending),
            clients=Count("program__controller__site__client", distinct=True, filter=pending),
            litres=Sum("effect_litres", filter=pending),
            saved=Sum("effect_money", filter=pending & Q(effect_litres__lt=0)),
            spent=Sum("effect_money", filter=pending & Q(effect_litres__gt=0)),
            at_risk=Count("pk", filter=pending & Q(risk_keep_level__gte=1)),
            by_policy=Count("pk", filter=Q(automatic=True) & lately),
        )
    )
    money = abs(float(sums["spent"] or 0)) - abs(float(sums["saved"] or 0))
    return Totals(
        changes=sums["changes"],
        clients=sums["clients"],
        litres=float(sums["litres"] or 0),
        money=money,
        at_risk=sums["at_risk"],
        by_policy=sums["by_policy"],
    )


def week_page(
    user: Any, company_id: int, choice: Choice, *, on: date, lately: Q, number: str | None = None
) -> tuple[list[OfClient], Page[int]]:
    """Return a page of the chosen changes, grouped by client and site, and the page."""
    shown = in_view(choice.view, lately=lately)
    if choice.words:
        site = "program__controller__site"
        shown &= Q(**{f"{site}__client__name__icontains": choice.words}) | Q(
            **{f"{site}__name__icontains": choice.words}
        )
    changes = changes_for(user).of_company(company_id)
    ordered = in_order(changes.filter(shown), sort=choice.sort).values_list("pk", flat=True)
    page = Paginator(ordered, A_PAGE).get_page(number)
    wanted = changes.filter(pk__in=[*page.object_list, *choice.also])
    site = "program__controller__site"
    rows = rows_of(wanted.select_related(*RELATIONS, f"{site}__watering_rule", f"{site}__town"))
    groups = _grouped(rows, sort=choice.sort, visits=_next_visits(company_id, on=on))
    away = episodes_at({row.change.program.controller.site_id for row in rows}, on=on)
    for of_site in (one for group in groups for one in group.sites):
        of_site.away = away.get(of_site.site.pk, [])
    return groups, page


def _mine(user: Any, company_id: int) -> QuerySet[Change]:
    return Change.objects.visible_to(user).of_company(company_id)


def _next_visits(company_id: int, *, on: date) -> dict[int, date]:
    planned = Visit.objects.of_company(company_id).filter(date__gte=on, done_at=None).order_by("-date")
    return dict(planned.values_list("site_id", "date"))


def _grouped(rows: list[Row], *, sort: str, visits: dict[int, date]) -> list[OfClient]:
    clients: dict[int, OfClient] = {}
    for row in sorted(rows, key=_by_place):
        site = row.change.program.controller.site
        of_client = clients.setdefault(site.client_id, OfClient(client=site.client))
        if not of_client.sites or of_client.sites[-1].site.pk != site.pk:
            of_client.sites.append(OfSite(site=site, next_visit=visits.get(site.pk)))
        of_client.sites[-1].rows.append(row)
    groups = list(clients.values())
    weight = {"water": _by_water, "risk": _by_risk}.get(sort)
    if weight:
        for group in groups:
            for of_site in group.sites:
                of_site.rows.sort(key=weight)
            group.sites.sort(key=lambda s: weight(s.rows[0]))
        groups.sort(key=lambda g: weight(g.sites[0].rows[0]))
    return groups


def _by_place(row: Row) -> tuple[Any, ...]:
    controller = row.change.program.controller
    site = controller.site
    return (
        site.client.name.casefold(),
        site.client_id,
        site.name.casefold(),
        site.pk,
        controller.name,
        row.change.program.letter,
        row.change.kind,
        -row.change.pk,
    )


def _by_water(row: Row) -> tuple[float, ...]:
    return (-abs(row.change.effect_litres or 0.0),)


def _by_risk(row: Row) -> tuple[float, ...]:
    change = row.change
    return (-change.risk_keep_level, -change.risk_change_level, -abs(change.effect_litres or 0.0))
