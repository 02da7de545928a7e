"""A month's summaries: what each client gets, who waits for an approval, what went out."""

from collections import Counter
from collections.abc import Sequence
from datetime import date, timedelta

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from desk import notices
from desk.access import PersonRequest, StaffRequest, signed_in, staff
from desk.company import timezone_of, today_of, working_membership
from desk.summaries.send import print_approved
from fleet.models import Client, Letter
from fleet.selectors.people import may_manage
from fleet.services.letters.post import post_letters
from reports.models import Summary
from reports.selectors.summary.sent import sent_to
from reports.selectors.summary.states import (
    CLOSED,
    DRAFT,
    FAILED,
    HELD,
    NOBODY,
    NOT_MADE,
    SENDING,
    SENT,
    STOPPED,
    TO_PRINT,
    UNSURE,
    WAITING,
    standings,
)
from reports.services.summaries import AT_ONCE, approve, make

A_BATCH = 12
VIEWS = (
    ("open", "to approve", {DRAFT}),
    ("care", "need a person", {UNSURE, FAILED, CLOSED, NOBODY}),
    ("under-way", "on their way", {TO_PRINT, WAITING, SENDING}),
    ("sent", "sent", {SENT}),
    ("back", "held or stopped", {HELD, STOPPED}),
)


@signed_in
@require_safe
def summaries(request: PersonRequest) -> HttpResponse:
    """Lead staff to the month to send next; show a reader what they were sent."""
    member = working_membership(request)
    if member is None:
        return render(request, "desk/own_summaries.html", {"rows": sent_to(request.user)})
    return redirect("desk:summaries-month", _month_to_send(member.company_id))


@staff
@require_safe
def summaries_month(request: StaffRequest, month: date) -> HttpResponse:
    """Show one month's summaries, client by client."""
    manager(request)
    rows = standings(clients_of(request), month)
    counts = Counter(row.state for row in rows)
    view = next((one for one in VIEWS if one[0] == request.GET.get("view")), None)
    listed = [row for row in rows if view is None or row.state in view[2]]
    today = today_of(request.member.company_id)
    context = {
        "month": month,
        "before": _before(month),
        "after": _after(month) if _after(month) <= today else None,
        "rows": listed,
        "total": len(rows),
        "views": [(key, words, sum(counts[state] for state in states)) for key, words, states in VIEWS],
        "view": view[0] if view else "",
        "drafts": counts[DRAFT],
        "to_print": counts[TO_PRINT],
        "waiting": counts[WAITING],
        "not_made": counts[NOT_MADE],
        "begun": month <= today,
        "complete": _after(month) <= today,
        "timezone": timezone_of(request.member.company_id),
    }
    return render(request, "desk/summaries.html", context)


@staff
@require_POST
def summaries_make(request: StaffRequest, month: date) -> HttpResponse:
    """Make a batch of drafts anew and tell how far it is."""
    manager(request)
    clients = sorted(clients_of(request), key=lambda client: client.pk)
    after = _whole(request.POST.get("after", ""))
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
        "after": ahead[AT_ONCE - 1].pk,
        "step": "desk:summaries-make",
    }
    return render(request, "desk/summaries_progress.html", context)


@staff
@require_POST
def summaries_send(request: StaffRequest, month: date) -> HttpResponse:
    """Approve the drafts that were shown, then print and hand over a few at a time and tell how far it is.

    What is approved stays approved: a browser that is closed in between leaves the rest to the drain.
    """
    manager(request)
    clients = clients_of(request)
    if "approve" in request.POST:
        shown = {_whole(text) for text in request.POST.getlist("summary")}
        drafts = [row for row in standings(clients, month) if row.state == DRAFT]
        for row in drafts:
            if row.summary is not None and row.summary.pk in shown:
                approve(row.summary, by=request.user)
    waiting = _to_print(clients, month)
    print_approved(waiting[:A_BATCH])
    post_letters(kinds=[Letter.Kind.SUMMARY], most=4 * A_BATCH)
    left = len(waiting[A_BATCH:])
    total = max(_whole(request.POST.get("total", "")), len(waiting))
    if not left:
        counts = Counter(row.state for row in standings(clients, month))
        notices.say(request, _told(counts))
        return redirect("desk:summaries-month", month)
    context = {
        "month": month,
        "head": "Printing and sending",
        "done": total - left,
        "total": total,
        "step": "desk:summaries-send",
    }
    return render(request, "desk/summaries_progress.html", context)


def manager(request: StaffRequest) -> None:
    """Let only owners and the office on."""
    if not may_manage(request.user, request.member.company_id):
        raise PermissionDenied


def clients_of(request: StaffRequest) -> list[Client]:
    """Return the company's clients by name."""
    rows = Client.objects.visible_to(request.user).of_company(request.member.company_id)
    return list(rows.select_related("company").order_by("name", "pk"))


def _to_print(clients: Sequence[Client], month: date) -> list[int]:
    rows = Summary.objects.filter(client__in=clients, month=month, state=Summary.State.APPROVED, paper=None)
    return list(rows.order_by("approved_at", "pk").values_list("pk", flat=True))


def _told(counts: Counter[str]) -> str:
    parts = [
        f"{counts[state]} {words}"
        for state, words in (
            (SENT, "sent"),
            (WAITING, "wait to go out"),
            (UNSURE, "unsure"),
            (FAILED, "failed"),
        )
        if counts[state]
    ]
    return f"Approved and printed: {', '.join(parts)}." if parts else "Nothing was left to send."


def _month_to_send(company_id: int) -> date:
    """Return the last month that is over, or the running one where nothing is older."""
    first = today_of(company_id).replace(day=1)
    return _before(first)


def _before(month: date) -> date:
    return (month - timedelta(days=1)).replace(day=1)


def _after(month: date) -> date:
    return (month + timedelta(days=31)).replace(day=1)


def _whole(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 12 else 0
