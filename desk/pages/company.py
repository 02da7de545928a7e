"""Picking the company to work for, where somebody works for several."""

from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from desk.access import StaffRequest, staff
from desk.company import pick_company


@staff
@require_POST
def choose_company(request: StaffRequest) -> HttpResponse:
    """Remember the company and start over on its morning sheet."""
    picked = request.POST.get("company", "")
    if not (picked.isascii() and picked.isdecimal() and pick_company(request, int(picked[:18]))):
        raise Http404
    return redirect("desk:morning")
