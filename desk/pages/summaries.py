"""A month's summaries: what each client gets, who waits for an approval, what went out."""

from collections.abc import Mapping
from contextlib import suppress
from datetime import date, datetime
from urllib.parse import urlencode

from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.db.models.functions import Lower
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from common.errors import MovedOn, Refused
from common.months import month_after, month_before
from desk import notices, posted
from desk.access import PersonRequest, StaffRequest, signed_in, staff
from desk.company import timezone_of, today_of, working_membership
from desk.summaries.printing import ALONE as A_BATCH
from desk.summaries.send import print_approved
from fleet.models import Client, Letter
from fleet.selectors.people import may_manage
from fleet.services.letters.post import post_letters
from reports.models import Summary
from reports.selectors.summary.listed import drafts_made_by, listed, with_standing
from reports.selectors.summary.sent import sent_to
from reports.selectors.summary.states import (
    CLOSED,
    DRAFT,
    FAILED,
    HELD,
    LOOK,
    NOBODY,
    NOT_MADE,
    SENDING,
    SENT,
    STOPPED,
    TO_PRINT,
    UNSURE,
    WAITING,
    Standing,
    standings,
)
from reports.services.summaries import AT_ONCE, approve, make

VIEWS = (
    ("open", "to approve", {DRAFT}),
    ("care", "need a person", {LOOK, UNSURE, FAILED, CLOSED, NOBODY}),
    ("under-way", "on their way", {TO_PRINT, WAITING, SENDING}),
    ("sent", "sent", {SENT}),
    ("back", "held or stopped", {HELD, STOPPED}),
)

A_PAGE = 50


@signed_in
@require_safe
def summaries(request: PersonRequest) -> HttpResponse:
    """Lead staff to the month to send next; show a reader what they were sent."""
    member = working_membership(request)
    if member is None:
        return render(request, "desk/own_summaries.html", {"rows": sent_to(request.user)})
    return redirect("desk:summaries-month", month_before(today_of(member.company_id)))


@staff
@require_safe
def summaries_month(request: StaffRequest, month: date) -> HttpResponse:
    """Show one month's summaries, client by client."""
    manager(request)
    everyone = _clients(request)
    told = listed(everyone, month)
    view = next((one for one in VIEWS if one[0] == request.GET.get("view")), None)
    words = request.GET.get("words", "").replace("\0", "").strip()[:120]
    shown = with_standing(everyone, month).order_by(Lower("name"), "pk")
    if view is not None:
        shown = shown.filter(standing__in=view[2])
    if words:
        shown = shown.filter(name__icontains=words)
    page = Paginator(shown.values_list("pk", flat=True), A_PAGE).get_page(request.GET.get("page"))
    today = today_of(request.member.company_id)
    context = {
        "month": month,
        "before": month_before(month),
        "after": month_after(month) if month_after(month) <= today else None,
        "rows": _rows(list(page.object_list), month),
        "page": page,
        "words": words,
        "query": urlencode({k: v for k, v in (("view", view[0] if view else ""), ("words", words)) if v}),
        "total": told.total,
        "views": [(key, label, told.of(states)) for key, label, states in VIEWS],
        "view": view[0] if view else "",
        "drafts": told.of({DRAFT}),
        "as_of": told.newest_draft.isoformat() if told.newest_draft else "",
        "to_print": told.of({TO_PRINT}),
        "waiting": told.of({WAITING}),
        "not_made": told.of({NOT_MADE}),
        "begun": month <= today,
        "complete": month_after(month) <= today,
        "timezone": timezone_of(request.member.company_id),
    }
    return render(request, "desk/summaries.html", context)


@staff
@require_POST
def summaries_make(request: StaffRequest, month: date) -> HttpResponse:
    """Make a batch of drafts anew and tell how far it is."""
    manager(request)
    clients = sorted(clients_of(request), key=lambda client: client.pk)
    after = posted.count(request.POST, "after")
    ahead = [client for client in clients if client.pk > after]
    make(ahead[:AT_ONCE], month)
    left = ahead[AT_ONCE:]
    if not left:
        notices.say(request, f"The drafts of {month:%B %Y} are made from what is known today.")
        return redirect("desk:summaries-month", month)
    context = {
        "month": month,
        "head": "Making drafts",
        "done": len(clients) - len(left),
        "total": len(clients),
        "carried": {"after": ahead[AT_ONCE - 1].pk},
        "step": "desk:summaries-make",
    }
    return render(request, "desk/summaries_progress.html", context)


@staff
@require_POST
def summaries_send(request: StaffRequest, month: date) -> HttpResponse:
    """Approve the drafts that were shown, print and send them, a few at a time, and tell how far it is.

    ``as_of`` is when the newest draft that was shown was made: what was made anew since waits for a look.
    What is approved stays so: a browser that is closed in between leaves its printing to the drain.
    """
    manager(request)
    clients = _clients(request)
    shown = _moment(request.POST.get("as_of", ""))
    drafts = list(drafts_made_by(clients, month, shown)) if shown is not None else []
    for row in Summary.objects.filter(pk__in=drafts[:A_BATCH]).select_related("client"):
        with suppress(Refused, MovedOn):  # held or altered meanwhile: its own state says so
            approve(row, by=request.user, made_by=shown)
    waiting = _to_print(clients, month)
    print_approved(waiting[:A_BATCH])
    post_letters(kinds=[Letter.Kind.SUMMARY], most=4 * A_BATCH)
    left = len(drafts[A_BATCH:]) + len(waiting[A_BATCH:])
    if not left:
        notices.say(request, _told(listed(clients, month).counts))
        return redirect("desk:summaries-month", month)
    total = max(posted.count(request.POST, "total"), left + len(waiting[:A_BATCH]))
    context = {
        "month": month,
        "head": "Printing and sending",
        "done": total - left,
        "total": total,
        "carried": {"as_of": request.POST.get("as_of", "")},
        "step": "desk:summaries-send",
    }
    return render(request, "desk/summaries_progress.html", context)


def _moment(text: str) -> datetime | None:
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        return None
    return found if found.tzinfo is not None else None


def _rows(ids: list[int], month: date) -> list[Standing]:
    found = Client.objects.select_related("company").in_bulk(ids)
    return standings([found[pk] for pk in ids if pk in found], month)


def manager(request: StaffRequest) -> None:
    """Let only owners and the office on."""
    if not may_manage(request.user, request.member.company_id):
        raise PermissionDenied


def clients_of(request: StaffRequest) -> list[Client]:
    """Return the company's clients by name."""
    return list(_clients(request).select_related("company").order_by("name", "pk"))


def _clients(request: StaffRequest) -> QuerySet[Client]:
    found: QuerySet[Client] = Client.objects.visible_to(request.user).of_company(request.member.company_id)
    return found


def _to_print(clients: QuerySet[Client], month: date) -> list[int]:
    rows = Summary.objects.filter(client__in=clients, month=month, state=Summary.State.APPROVED, paper=None)
    return list(rows.order_by("approved_at", "pk").values_list("pk", flat=True))


def _told(counts: Mapping[str, int]) -> str:
    parts = [
        f"{counts[state]} {words}"
        for state, words in (
            (SENT, "sent"),
            (WAITING, "wait to go out"),
            (UNSURE, "unsure"),
            (FAILED, "failed"),
        )
        if counts.get(state)
    ]
    return f"Approved and printed: {', '.join(parts)}." if parts else "Nothing was left to send."
