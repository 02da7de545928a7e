"""Every site of the company, by client."""

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.db.models import Count, Q, QuerySet
from django.db.models.functions import Lower
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from desk.access import StaffRequest, staff
from fleet.models import Controller, Site, Zone
from scheduling.models import Change

A_PAGE = 100


@staff
@require_safe
def sites(request: StaffRequest) -> HttpResponse:
    """List the sites with what waits at each."""
    words = request.GET.get("words", "").replace("\0", "").strip()[:120]
    mine = Site.objects.visible_to(request.user).of_company(request.member.company_id)
    chosen = mine.filter(Q(name__icontains=words) | Q(client__name__icontains=words)) if words else mine
    in_order = chosen.order_by(Lower("client__name"), "client_id", Lower("name"), "pk")
    page = Paginator(in_order.values_list("pk", flat=True), A_PAGE).get_page(request.GET.get("page"))
    ids = list(page.object_list)
    listed = list(in_order.filter(pk__in=ids).select_related("client", "watering_rule", "town"))
    return render(
        request,
        "desk/sites.html",
        {
            "rows": _rows(listed),
            "words": words,
            "page": page,
            "query": urlencode({"words": words}) if words else "",
        },
    )


def _rows(listed: Sequence[Site]) -> list[dict[str, Any]]:
    """Return some sites with what is there and what waits, in three queries."""
    pending = Change.objects.filter(status=Change.Status.PENDING)
    boxes = _how_many(Controller.objects.all(), "site", listed)
    zones = _how_many(Zone.objects.all(), "controller__site", listed)
    waiting = _how_many(pending, "program__controller__site", listed)
    return [
        {
            "site": s,
            "controllers": boxes.get(s.pk, 0),
            "zones": zones.get(s.pk, 0),
            "waiting": waiting.get(s.pk, 0),
        }
        for s in listed
    ]


def _how_many(rows: QuerySet, path: str, sites: Sequence[Site]) -> dict[int, int]:
    at_sites = rows.filter(**{f"{path}__in": [site.pk for site in sites]})
    return dict(at_sites.order_by().values_list(path).annotate(n=Count("pk")))
