"""One client's summary of a month: read, held back, approved and sent; as paper and as the letter itself."""

import base64
from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from common.errors import BluestemError
from desk import notices, posted
from desk.access import PersonRequest, StaffRequest, signed_in, staff
from desk.company import timezone_of, working_membership
from desk.pages.summaries import manager
from desk.shown_files import NOTHING, shown
from desk.summaries.drawn import days_chart, months_chart
from desk.summaries.jobs import job_of
from desk.summaries.paper import has_figures, paper_of_summary
from desk.summaries.printing import printed
from desk.summaries.send import paper_name, print_approved
from desk.summaries.words import summary_words
from fleet.models import Client, Letter
from fleet.services.letters.post import post_letters
from reports.models import Summary
from reports.selectors.summary.sent import sent_to
from reports.selectors.summary.states import (
    CLOSED,
    DRAFT,
    EMPTY,
    LOOK,
    NOBODY,
    NOT_MADE,
    STOPPED,
    Standing,
    standings,
)
from reports.services.summaries import approve, hold, make, release, remark, resume, stop

STEPS = ("approve", "hold", "release", "remark", "refresh")
CHOICES = ("stop", "resume")
INLINE = f"{NOTHING}; style-src 'unsafe-inline'; img-src data:"


@signed_in
@require_safe
def summary(request: PersonRequest, pk: int) -> HttpResponse:
    """Show a summary: to staff with what can be done with it, to a reader once it was sent."""
    row = _visible(request, pk)
    kept = row.figures
    words = summary_words(kept, remark=row.remark) if has_figures(row) else None
    context: dict[str, Any] = {
        "row": row,
        "words": words,
        "months": months_chart(kept) if words else None,
        "days": days_chart(kept) if words else None,
        "units": row.client.company.units,
        "own": working_membership(request) is None,
        "timezone": timezone_of(row.client.company_id),
    }
    if not context["own"]:
        context |= _for_staff(row)
    return render(request, "desk/summary.html", context)


@signed_in
@require_safe
def summary_paper(request: PersonRequest, pk: int) -> HttpResponse:
    """Send the PDF: as it went out, or of a draft as it would be now."""
    row = _visible(request, pk)
    if not has_figures(row):
        raise Http404
    return shown(paper_of_summary(row), paper_name(row))


@staff
@require_safe
def summary_letter(request: StaffRequest, pk: int) -> HttpResponse:
    """Show the e-mail as a mail program would, its pictures in place."""
    manager(request)
    row = _staffs(request, pk)
    if not has_figures(row):
        raise Http404
    letter = row.letters.prefetch_related("files").first()
    if letter is not None:
        html = letter.html
        pictures = {file.shown_as: bytes(file.content) for file in letter.files.all() if file.shown_as}
    else:
        made = printed(job_of(row))
        html, pictures = made.html, made.pictures
    for name, picture in pictures.items():
        html = html.replace(f"cid:{name}", f"data:image/png;base64,{base64.b64encode(picture).decode()}")
    answer = HttpResponse(html)
    answer["Content-Security-Policy"] = INLINE  # its styles are inline, as mail programs want them
    return answer


@staff
@require_POST
def summary_step(request: StaffRequest, pk: int, step: str) -> HttpResponse:
    """Do what a person says about a summary."""
    manager(request)
    row = _staffs(request, pk)
    doing: dict[str, Callable[[], str]] = {
        "approve": lambda: _approve(request, row),
        "hold": lambda: _hold(request, row),
        "release": lambda: _release(request, row),
        "remark": lambda: _remark(request, row),
        "refresh": lambda: _refresh(row),
    }
    try:
        told = doing[step]()
    except BluestemError as error:
        notices.warn(request, error.message)
    else:
        notices.say(request, told)
    return redirect("desk:summary", pk)


@staff
@require_POST
def client_summaries(request: StaffRequest, pk: int, what: str) -> HttpResponse:
    """Give a client no more summaries, or give them again."""
    manager(request)
    rows = Client.objects.visible_to(request.user).of_company(request.member.company_id)
    client = get_object_or_404(rows, pk=pk)
    try:
        if what == "stop":
            stop(client, by=request.user, because=request.POST.get("because", ""))
            notices.say(request, f"{client} gets no more summaries, until you say so.")
        else:
            resume(client, by=request.user)
            notices.say(request, f"{client} gets summaries again.")
    except BluestemError as error:
        notices.warn(request, error.message)
    back = Summary.objects.filter(client=client, pk__in=posted.row_ids(request.POST, "back")).first()
    return redirect("desk:summary", back.pk) if back is not None else redirect("desk:client", pk)


def _approve(request: StaffRequest, row: Summary) -> str:
    standing = _standing(row)
    if standing.state in (CLOSED, NOBODY, EMPTY, STOPPED):
        return f"Not sent. {standing.error}"
    approve(row, by=request.user)
    print_approved([row.pk])
    post_letters(kinds=[Letter.Kind.SUMMARY])
    return f"Approved: {_standing(row).words}."


def _hold(request: StaffRequest, row: Summary) -> str:
    hold(row, by=request.user, because=request.POST.get("because", "").strip())
    return "Held back: it goes to nobody until you release it."


def _release(request: StaffRequest, row: Summary) -> str:
    release(row, by=request.user)
    return "It is a draft again."


def _remark(request: StaffRequest, row: Summary) -> str:
    remark(row, by=request.user, words=request.POST.get("remark", "")[:1200])
    return "Your words are in the summary."


def _refresh(row: Summary) -> str:
    make([row.client], row.month)
    return "Made anew from what is known today."


def _for_staff(row: Summary) -> dict[str, Any]:
    standing = _standing(row)
    return {
        "standing": standing,
        "may_go": standing.state in (DRAFT, LOOK),
        "draft": row.state != Summary.State.APPROVED,
    }


def _standing(row: Summary) -> Standing:
    found = standings([row.client], row.month)[0]
    assert found.state != NOT_MADE, "it stands in the database"
    return found


def _visible(request: PersonRequest, pk: int) -> Summary:
    if working_membership(request) is None:
        return get_object_or_404(sent_to(request.user), pk=pk)
    return _staffs(request, pk)


def _staffs(request: Any, pk: int) -> Summary:
    member = working_membership(request)
    rows = Summary.objects.visible_to(request.user).select_related("client__company", "approved_by")
    return get_object_or_404(rows.of_company(member.company_id if member is not None else 0), pk=pk)
