"""What was changed at a client, and why: the whole history, narrowed and paged."""

import re
from typing import Any
from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.http.request import QueryDict
from django.shortcuts import render
from django.views.decorators.http import require_safe

from desk.access import StaffRequest, staff
from desk.client_list import Filter
from desk.pages.client import found_client
from fleet.models import Client
from scheduling.models import Change
from scheduling.selectors.change_history import Asked, change_history, programs_of, years_of
from scheduling.selectors.week_rows import rows_of

A_PAGE = 50
PROGRAM = re.compile(r"([0-9]{1,18})-([A-Za-z0-9]{1,2})")


@staff
@require_safe
def client_changes(request: StaffRequest, pk: int) -> HttpResponse:
    """List a client's changes, latest first."""
    client = found_client(request, pk)
    filters = _filters(client, request.GET)
    asked = _asked(filters)
    changes = change_history(request.user, client, asked)
    page = Paginator(changes, A_PAGE).get_page(request.GET.get("page"))
    shown = changes[page.start_index() - 1 : page.end_index()] if page.paginator.count else changes.none()
    context: dict[str, Any] = {
        "client": client,
        "filters": filters,
        "page": page,
        "rows": rows_of(shown),
        "query": urlencode({one.name: one.value for one in filters if one.value}),
        "narrowed": asked != Asked(),
    }
    return render(request, "desk/client_changes.html", context)


def _filters(client: Client, query: QueryDict) -> list[Filter]:
    """Return the fields of the form; what an address asks for that isn't offered counts as not chosen."""
    programs = programs_of(client)
    sites = client.sites.order_by("name").values_list("pk", "name")
    offered: dict[str, tuple[str, list[tuple[str, str]]]] = {
        "kind": ("Kind", list(Change.Kind.choices)),
        "status": ("Status", list(Change.Status.choices)),
        "year": ("Year", [(str(year), str(year)) for year in years_of(client)]),
        "site": ("Site", [(str(pk), name) for pk, name in sites]),
        "program": ("Program", [(f"{pk}-{a}", f"{site}, {box}, {a}") for pk, a, site, box in programs]),
    }
    return [
        Filter(name, label, [("", "any"), *options], _picked(query.get(name, ""), options))
        for name, (label, options) in offered.items()
    ]


def _picked(value: str, options: list[tuple[str, str]]) -> str:
    return value if value in dict(options) else ""


def _asked(filters: list[Filter]) -> Asked:
    value = {one.name: one.value for one in filters}
    program = PROGRAM.fullmatch(value["program"])
    return Asked(
        kind=value["kind"],
        status=value["status"],
        year=int(value["year"] or 0),
        site=int(value["site"] or 0),
        controller=int(program[1]) if program else 0,
        letter=program[2] if program else "",
    )
