"""All clients over some months: saved, used against the budget, met of plants' need, not explained."""

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from desk.access import StaffRequest, staff
from desk.charts.of_budget import of_budget
from desk.client_water import (
    Choice,
    address_of,
    columns_of,
    links_of,
    months_to_choose,
    only_of,
    read_choice,
    span_words,
)
from desk.company import today_of
from fleet.models import Client, Site
from reports.selectors import client_choice
from reports.selectors.by_client.listing import in_order, narrowed, totals_of, worst_first
from reports.selectors.by_client.rows import Line, lines_of

A_PAGE = 50
DRAWN = 12


@staff
@require_safe
def clients_water(request: StaffRequest) -> HttpResponse:
    """Show the clients' water."""
    on = today_of(request.member.company_id)
    choice = read_choice(request.GET, on=on)
    lines = lines_chosen(request, choice)
    page = Paginator(lines, A_PAGE).get_page(request.GET.get("page"))
    worst = worst_first(lines, DRAWN)
    units = request.member.company.units
    through = min((choice.months.through, on)) if lines else None
    context: dict[str, Any] = {
        "choice": choice,
        "span": span_words(choice.months),
        "through": through,
        "totals": totals_of(lines),
        "rows": page.object_list,
        "page": page,
        "columns": columns_of(choice),
        "only": only_of(choice),
        "links": links_of(choice, on=on, southern=_southern(request)),
        "months": months_to_choose(on),
        "query": address_of(choice),
        "narrowed": bool(choice.words or choice.only),
        "worst": worst,
        "chart": of_budget(worst, units=units, span=span_words(choice.months)),
        "on": on,
        "any": bool(lines) or _any(request),
    }
    return render(request, "desk/clients_water.html", context)


def lines_chosen(request: StaffRequest, choice: Choice) -> list[Line]:
    """Return the lines a choice leaves, in its order."""
    clients = Client.objects.visible_to(request.user).of_company(request.member.company_id)
    named = client_choice.chosen(clients, client_choice.Choice(words=choice.words), on=choice.months.first)
    lines = lines_of(named, choice.months)
    return in_order(narrowed(lines, choice.only), choice.sort, down=choice.down)


def _southern(request: StaffRequest) -> bool:
    sites = Site.objects.visible_to(request.user).of_company(request.member.company_id).order_by("pk")
    latitude = sites.values_list("latitude", flat=True).first()
    return latitude is not None and latitude < 0


def _any(request: StaffRequest) -> bool:
    return Client.objects.visible_to(request.user).of_company(request.member.company_id).exists()
