"""The company's clients: what was saved for each, what is open, when somebody was there."""

from collections.abc import Callable
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from desk.access import StaffRequest, staff
from desk.company import today_of
from reports.selectors.fleet import ClientRow, client_rows, company_totals

SORTS: dict[str, tuple[str, Callable[[ClientRow], Any], bool]] = {
    "name": ("name", lambda row: row.client.name.casefold(), False),
    "saved": ("most saved", lambda row: row.season.saved_l or 0.0, True),
    "used": ("most water", lambda row: row.season.applied_l or 0.0, True),
    "need": (
        "need least met",
        lambda row: 2.0 if row.season.adequacy is None else row.season.adequacy,
        False,
    ),
    "open": ("most open", lambda row: row.client.pending_count + row.client.enter_count, True),
}


@staff
@require_safe
def clients(request: StaffRequest) -> HttpResponse:
    """List the clients."""
    words = request.GET.get("words", "").replace("\0", "").strip()[:120]
    sort = request.GET.get("sort", "name")
    sort = sort if sort in SORTS else "name"
    company = request.member.company_id
    on = today_of(company)
    _, key, reverse = SORTS[sort]
    rows = sorted(client_rows(request.user, company, on=on, words=words), key=key, reverse=reverse)
    return render(
        request,
        "desk/clients.html",
        {
            "rows": rows,
            "words": words,
            "sort": sort,
            "sorts": [(name, label) for name, (label, _, _) in SORTS.items()],
            "on": on,
            "month": company_totals(request.user, company, first=on.replace(day=1)),
            "season": company_totals(request.user, company, first=on.replace(month=1, day=1)),
        },
    )
