"""A month's summaries: what each client gets, who waits for an approval, what went out."""

from collections import Counter
from collections.abc import Sequence
from datetime import date, datetime

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

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
    Standing,
    standings,
)
from reports.services.summaries import AT_ONCE, approve, make

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
    return redirect("desk:summaries-month", month_before(today_of(member.company_id)))


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
        "before": month_before(month),
        "after": month_after(month) if month_after(month) <= today else None,
        "rows": listed,
        "total": len(rows),
        "views": [(key, words, sum(counts[state] for state in states)) for key, words, states in VIEWS],
        "view": view[0] if view else "",
        "drafts": counts[DRAFT],
        "as_of": max((_made(row) for row in rows if row.state == DRAFT), default=""),
        "to_print": counts[TO_PRINT],
        "waiting": counts[WAITING],
        "not_made": counts[NOT_MADE],
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
    clients = clients_of(request)
    shown = _moment(request.POST.get("as_of", ""))
    drafts = [row for row in standings(clients, month) if row.state == DRAFT and _made_by(row, shown)]
    for row in drafts[:A_BATCH]:
        if row.summary is not None:
            approve(row.summary, by=request.user)
    waiting = _to_print(clients, month)
    print_approved(waiting[:A_BATCH])
    post_letters(kinds=[Letter.Kind.SUMMARY], most=4 * A_BATCH)
    left = len(drafts[A_BATCH:]) + len(waiting[A_BATCH:])
    if not left:
        counts = Counter(row.state for row in standings(clients, month))
        notices.say(request, _told(counts))
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


def _made(row: Standing) -> str:
    made = row.summary.made_at if row.summary is not None else None
    return made.isoformat() if made is not None else ""


def _made_by(row: Standing, moment: datetime | None) -> bool:
    made = row.summary.made_at if row.summary is not None else None
    return made is not None and moment is not None and made <= moment


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
