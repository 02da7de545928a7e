"""Advice: what would be worth doing at the clients' sites, by water, money or risk."""

from urllib.parse import urlencode

from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from common import units as convert
from common.errors import BluestemError, NotAllowed
from desk import notices
from desk.access import StaffRequest, staff
from desk.altered_words import altered_line
from desk.company import today_of
from desk.spreadsheets import as_csv, file_name
from fleet.selectors.people import may_manage
from scheduling.models import Advice
from scheduling.selectors.advice_list import SORTS, AdviceChoice, advice_rows, listed
from scheduling.services.advising import dismiss, take_up
from scheduling.services.proposing import Proposed, propose

A_PAGE = 60
RISKS = {0: "", 1: "now and then", 2: "at risk"}
HEAD = [
    "Client",
    "Site",
    "Controller",
    "Kind",
    "Advice",
    "Litres saved a week",
    "Litres saved a year",
    "Money saved a year",
    "Risk",
    "Change",
]


@staff
@require_safe
def advice(request: StaffRequest) -> HttpResponse:
    """List what would be worth doing."""
    choice = _choice(request)
    rows = listed(request.user, request.member.company_id, choice)
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    chosen = {"sort": choice.sort, "kind": choice.kind, "words": choice.words}
    if choice.dismissed:
        chosen["dismissed"] = "1"
    context = {
        "page": page,
        "choice": choice,
        "kinds": Advice.Kind.choices,
        "sorts": [
            ("water", "Most water"),
            ("money", "Most money"),
            ("risk", "Most risk"),
            ("client", "Client"),
        ],
        "query": urlencode({name: value for name, value in chosen.items() if value}),
        "may_manage": may_manage(request.user, request.member.company_id),
    }
    return render(request, "desk/advice.html", context)


@staff
@require_safe
def advice_file(request: StaffRequest) -> HttpResponse:
    """Send the list as it was chosen, all of it, in litres or gallons as the company writes."""
    company = request.member.company
    us = company.units == "us"
    per = convert.L_PER_GALLON if us else 1.0
    head = [words.replace("Litres", "Gallons") for words in HEAD] if us else HEAD
    rows = (
        [
            one.controller.site.client.name,
            one.controller.site.name,
            one.controller.name,
            one.get_kind_display(),
            one.words,
            None if one.litres_week is None else round(one.litres_week / per),
            None if one.litres_year is None and one.litres_week is None else round(one.yearly / per),
            None if one.money_year is None else float(one.money_year),
            RISKS[one.risk],
            one.change.get_status_display() if one.change is not None else "",
        ]
        for one in listed(request.user, company.pk, _choice(request)).iterator()
    )
    return as_csv(head, rows, name=file_name("advice", company.name, today_of(company.pk), "csv"))


@staff
@require_POST
def advice_propose(request: StaffRequest, pk: int) -> HttpResponse:
    """Make a line a pending change; clicked twice it is one change."""
    found = _found(request, pk)
    site = found.controller.site
    try:
        proposed = propose(advice=found, by=request.user)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except BluestemError as error:
        notices.warn(request, f"{site}: {error.message}")
    else:
        notices.say(request, _told(proposed, request.member.company.units))
    return _back(request, found, at=f"#advice-{pk}")


def _back(request: StaffRequest, found: Advice, *, at: str = "") -> HttpResponse:
    """Go back to the page it was pressed on: the site's own, else the list."""
    if request.POST.get("from") == "site":
        return redirect(f"{reverse('desk:site', args=[found.controller.site_id])}{at or '#advice'}")
    return redirect(f"{reverse('desk:advice')}{at}")


def _told(proposed: Proposed, units: str) -> str:
    change = proposed.change
    what = f"{change.program} at {change.program.controller.site}: {altered_line(change, units)}"
    if not proposed.new:
        return f"{what} was proposed before and is {change.get_status_display()}."
    anew = (
        " Its program has moved on since the advice was made, so it was computed anew."
        if proposed.anew
        else ""
    )
    return f"{what} is proposed and waits on the Week sheet.{anew}"


@staff
@require_POST
def advice_dismiss(request: StaffRequest, pk: int) -> HttpResponse:
    """Put a line aside, with the reason."""
    found = _found(request, pk)
    try:
        dismiss(advice=found, by=request.user, why=request.POST.get("why", ""))
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except BluestemError as error:
        notices.warn(request, error.message)
    else:
        notices.say(request, "Put aside. It comes back if its water moves by a quarter.")
    return _back(request, found)


@staff
@require_POST
def advice_take_up(request: StaffRequest, pk: int) -> HttpResponse:
    """Show a line again that was put aside."""
    found = _found(request, pk)
    try:
        take_up(advice=found, by=request.user)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except BluestemError as error:
        notices.warn(request, error.message)
    else:
        notices.say(request, "It stands on the list again.")
    return _back(request, found)


def _found(request: StaffRequest, pk: int) -> Advice:
    return get_object_or_404(advice_rows(request.user, request.member.company_id), pk=pk)


def _choice(request: StaffRequest) -> AdviceChoice:
    sort, kind = request.GET.get("sort", ""), request.GET.get("kind", "")
    return AdviceChoice(
        sort=sort if sort in SORTS else "water",
        kind=kind if kind in Advice.Kind.values else "",
        words=request.GET.get("words", "").replace("\0", " ")[:120],
        dismissed=request.GET.get("dismissed") == "1",
    )
