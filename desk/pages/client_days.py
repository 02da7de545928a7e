"""The days behind a client's savings: of a month, or from one day to another."""

from datetime import date, timedelta
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from common import clock
from common.errors import Refused
from common.months import last_of_month
from desk import posted
from desk.access import StaffRequest, staff
from fleet.models import Client
from reports.selectors.savings_days import client_days

LONGEST_DAYS = 93


@staff
@require_safe
def client_month(request: StaffRequest, pk: int, month: date) -> HttpResponse:
    """Show a month's days."""
    client = _client(request, pk)
    on = _today(client)
    return _page(request, client, first=month, last=last_of_month(month), on=on, month=month)


@staff
@require_safe
def client_range(request: StaffRequest, pk: int) -> HttpResponse:
    """Show the days of a range that was typed; the month to date without one."""
    client = _client(request, pk)
    on = _today(client)
    typed = {"first": request.GET.get("from", ""), "last": request.GET.get("to", "")}
    try:
        first, last = _range(typed["first"], typed["last"], on=on)
    except Refused as error:
        context = {"client": client, "typed": typed, "field": error.field, "error": error.message}
        return render(request, "desk/client_days.html", context, status=422)
    return _page(request, client, first=first, last=last, on=on)


def _client(request: StaffRequest, pk: int) -> Client:
    clients = Client.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(clients.select_related("company"), pk=pk)


def _today(client: Client) -> date:
    zone = client.sites.order_by("name").values_list("timezone", flat=True).first()
    return clock.today(zone or "UTC")


def _range(first: str, last: str, *, on: date) -> tuple[date, date]:
    """Read both ends of a range."""
    to = _day(last, "to") or on - timedelta(days=1)
    since = _day(first, "from") or to.replace(day=1)
    if since > to:
        raise Refused("The first day lies after the last.", field="from")
    if (to - since).days >= LONGEST_DAYS:
        raise Refused(f"Ask for {LONGEST_DAYS} days at the most.", field="from")
    return since, to


def _day(text: str, field: str) -> date | None:
    try:
        return posted.day(text[:40])
    except Refused as error:
        raise Refused(error.message, field=field) from error


def _page(
    request: StaffRequest, client: Client, *, first: date, last: date, on: date, month: date | None = None
) -> HttpResponse:
    context: dict[str, Any] = {
        "client": client,
        "first": first,
        "last": last,
        "month": month,
        "on": on,
        "typed": {
            "first": first.isoformat(),
            "last": min(last, max(first, on - timedelta(days=1))).isoformat(),
        },
        "days": client_days(client, first=first, last=min(last, on - timedelta(days=1)), on=on),
        "before": _month(first, -1) if month else None,
        "after": _month(first, 1) if month and last < on else None,
    }
    return render(request, "desk/client_days.html", context)


def _month(first: date, step: int) -> date | None:
    number = first.year * 12 + first.month - 1 + step
    return date(number // 12, number % 12 + 1, 1) if 12 <= number < 9999 * 12 else None
