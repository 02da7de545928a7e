"""The company's clients: what was saved for each, what is open, when somebody was there."""

from datetime import date
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from desk.access import StaffRequest, staff
from desk.client_list import address_of, columns_of, filters_of, read_choice
from desk.company import today_of
from fleet.models import Client
from reports.selectors.client_choice import Choice
from reports.selectors.client_list import client_rows, clients_listed
from reports.selectors.fleet import company_totals, this_year

A_PAGE = 100


@staff
@require_safe
def clients(request: StaffRequest) -> HttpResponse:
    """List the clients."""
    company_id = request.member.company_id
    choice, on = read_choice(request.GET), today_of(company_id)
    listed = clients_listed(request.user, company_id, choice, on=on)
    page = Paginator(listed.values_list("pk", flat=True), A_PAGE).get_page(request.GET.get("page"))
    context = {
        "rows": client_rows(list(page.object_list), on=on),
        "page": page,
        "on": on,
        "month": company_totals(request.user, company_id, first=on.replace(day=1)),
        "year": company_totals(request.user, company_id, first=this_year(on)),
        "none_at_all": not page.paginator.count and not _any(request, company_id),
    }
    return render(request, "desk/clients.html", context | _around(choice, on=on))


def _around(choice: Choice, *, on: date) -> dict[str, Any]:
    return {
        "choice": choice,
        "columns": columns_of(choice, on=on),
        "filters": filters_of(choice),
        "narrowed": bool(choice.words or choice.open or choice.access or choice.season),
        "query": address_of(choice),
    }


def _any(request: StaffRequest, company_id: int) -> bool:
    return Client.objects.visible_to(request.user).of_company(company_id).exists()
