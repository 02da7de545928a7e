"""One client: what was saved, against what, what is open, who may read, and what was changed and why."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from common import clock
from desk.access import StaffRequest, staff
from desk.charts.savings_of_client import savings_of_client
from desk.cut_words import held_lines
from desk.policy_values import shown, unit_of
from fleet.models import Client, Invitation
from fleet.selectors.client_access import readers_of
from fleet.selectors.client_policy import OWN, policy_lines
from fleet.selectors.episodes import episodes_at
from fleet.selectors.people import may_manage
from fleet.services.people import token_of
from fleet.services.reader_links import open_links
from reports.selectors.client_work import findings_of, sites_of, visits_of
from reports.selectors.savings import client_savings_by_month
from scheduling.selectors.changes import changes_for
from scheduling.selectors.client_notes import notes_for, told
from scheduling.selectors.cuts import by_plants, cuts_in_force
from scheduling.selectors.week_rows import rows_of

RECENT = 12
NOTES = 5


@staff
@require_safe
def client(request: StaffRequest, pk: int) -> HttpResponse:
    """Show a client to the company's people."""
    return client_page(request, found_client(request, pk))


def found_client(request: StaffRequest, pk: int) -> Client:
    """Return a client of the company somebody works for now; for others there is none."""
    clients = Client.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(clients.select_related("company"), pk=pk)


def client_page(
    request: StaffRequest, found: Client, *, reader: dict[str, str] | None = None, status: int = 200
) -> HttpResponse:
    """Show a client; ``reader`` is what was typed about a new reader and is wrong with it."""
    sites = sites_of(found)
    timezone = sites[0].timezone if sites else "UTC"
    on = clock.today(timezone)
    away = episodes_at([site.pk for site in sites], on=on)
    months, year = client_savings_by_month(found, on=on)
    context: dict[str, Any] = {
        "client": found,
        "sites": sites,
        "on": on,
        "timezone": timezone,
        "months": months[::-1],
        "year": year,
        "running": months[-1] if months and months[-1].first == on.replace(day=1) else None,
        "chart": savings_of_client(months, units=found.company.units),
        "may_manage": may_manage(request.user, found.company_id),
        "readers": _readers(request, found),
        "reader": reader or {},
        "visits": visits_of(found, on=on),
        "findings": findings_of(found),
        "notes": told(notes_for(request.user).filter(site__client=found)[:NOTES]),
        "policy": _policy(found),
        "episodes": [one for own in away.values() for one in own],
        "held_back": held_lines(by_plants(cuts_in_force([site.pk for site in sites], night=on).values())),
    }
    return render(request, "desk/client.html", context | _changes(request, found), status=status)


def _changes(request: StaffRequest, found: Client) -> dict[str, Any]:
    changes = changes_for(request.user).filter(program__controller__site__client=found).order_by("-id")
    decided = changes.exclude(status__in=["pending", "superseded"])
    return {
        "to_decide": rows_of(changes.filter(status="pending")),
        "history": rows_of(decided[:RECENT]),
    }


def _readers(request: StaffRequest, found: Client) -> list[dict[str, Any]]:
    """Return who may read, with the link of whoever hasn't used it, for those who may hand it over."""
    readers = list(readers_of(found))
    links: dict[str, Invitation] = {}
    manages = may_manage(request.user, found.company_id)
    if manages:
        links = {link.email: link for link in open_links(found.company_id, [r.user.email for r in readers])}
    return [
        {
            "access": reader,
            "waits": manages and not reader.user.has_usable_password() and not reader.user.last_login,
            "link": links.get(reader.user.email),
            "url": _url(request, links[reader.user.email]) if reader.user.email in links else "",
        }
        for reader in readers
    ]


def _url(request: StaffRequest, link: Invitation) -> str:
    return request.build_absolute_uri(reverse("desk:welcome", args=[token_of(link)]))


def _policy(found: Client) -> list[dict[str, Any]]:
    units = found.company.units
    return [
        {
            "label": line.label,
            "value": shown(line.name, line.value, units),
            "unit": unit_of(line.name, units),
            "source": line.source,
            "own": line.source == OWN,
        }
        for line in policy_lines(found)
    ]
