"""The run log: what each night did for this company."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from desk.access import StaffRequest, staff
from fleet.selectors.episodes import away_in
from scheduling.selectors.run_log import COUNTS, failures_of, nights_of

A_PAGE = 60


@staff
@require_safe
def nights(request: StaffRequest) -> HttpResponse:
    """List the nights, latest first."""
    parts = nights_of(request.user, request.member.company_id)
    page = Paginator(parts, A_PAGE).get_page(request.GET.get("page"))
    return render(request, "desk/nights.html", {"page": page})


@staff
@require_safe
def night(request: StaffRequest, pk: int) -> HttpResponse:
    """Show one night: words, counts, failures."""
    company_id = request.member.company_id
    part = get_object_or_404(nights_of(request.user, company_id), run_id=pk)
    context = {
        "part": part,
        "run": part.run,
        "counts": [(label, part.counts.get(key, 0)) for key, label in COUNTS if key in part.counts],
        "failures": failures_of([part], company_id=company_id),
        "away": away_in(company_id, on=part.run.date),
    }
    return render(request, "desk/night.html", context)
