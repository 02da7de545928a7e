"""Decisions on one change or many, from the week sheet or from the page of one change."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST
from django_htmx.http import reswap

from common.errors import NotAllowed
from desk import notices, posted
from desk.access import StaffRequest, staff
from desk.deciding import Answer, Asked, carry_out, summary
from desk.pages.week import around, sheet_of, week_page
from desk.pages.why import why_page
from fleet.selectors.people import DECIDE
from scheduling.models import Change
from scheduling.selectors.changes import changes_for
from scheduling.selectors.week_rows import rows_of

CONFLICT, REFUSED = 409, 422


@staff
@require_POST
def decide_one(request: StaffRequest, pk: int, action: str) -> HttpResponse:
    """Do one thing to one change."""
    changes = list(_changes(request).filter(pk=pk))
    if not changes:
        raise Http404
    return _answer(request, action, _carry_out(request, action, changes))


@staff
@require_POST
def decide_many(request: StaffRequest, action: str) -> HttpResponse:
    """Do one thing to every change that was picked."""
    wanted = posted.row_ids(request.POST, "change")
    changes = list(_changes(request).filter(pk__in=wanted))
    if not changes:
        notices.warn(request, "Pick at least one change first.")
    elif action == "decline" and not request.POST.get("note", "").strip():
        notices.warn(request, "Say in a few words why, so that the next person knows. Nothing was declined.")
        return _parts(request, [], status=REFUSED) if request.htmx else week_page(request, status=REFUSED)
    return _answer(request, action, _carry_out(request, action, changes))


def _changes(request: StaffRequest) -> Any:
    return changes_for(request.user).of_company(request.member.company_id)


def _carry_out(request: StaffRequest, action: str, changes: list[Change]) -> list[Answer]:
    post = request.POST
    asked = Asked(
        by=request.user,
        value=post.get("value", ""),
        note=post.get("note", ""),
        applied_on=post.get("applied_on", ""),
    )
    values = {change.pk: post.get(f"value-{change.pk}", asked.value) for change in changes}
    try:
        return carry_out(action, changes, asked=asked, values=values)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error


def _answer(request: StaffRequest, action: str, answers: list[Answer]) -> HttpResponse:
    good, left = summary(action, answers)
    done = [answer.change.pk for answer in answers if answer.done]
    if good:
        notices.say(request, good, undo=_undoable(request, action, done))
    open_answers = [answer for answer in answers if not answer.done]
    status = _status(open_answers)
    by_the_field = len(answers) == 1 and status == REFUSED
    if left and not by_the_field:
        notices.warn(request, left)
    if request.htmx:
        response = _parts(request, answers, status=status)
        return reswap(response, "none") if by_the_field else response
    if request.POST.get("from") == "why" and answers:
        change = answers[0].change
        if open_answers:
            return why_page(request, change.pk, answer=open_answers[0], status=status)
        return redirect("desk:why", change.pk)
    if open_answers:
        return week_page(request, answers=open_answers, status=status)
    return redirect(_back(request, done))


def _undoable(request: StaffRequest, action: str, done: list[int]) -> list[int]:
    return done if action in ("approve", "decline") and request.member.role in DECIDE else []


def _status(left: list[Answer]) -> int:
    if not left:
        return 200
    return CONFLICT if any(answer.conflict for answer in left) else REFUSED


def _parts(request: StaffRequest, answers: list[Answer], *, status: int) -> HttpResponse:
    """Return only what changed on the sheet: messages, the lines, the totals and counts."""
    rows = rows_of(_changes(request).filter(pk__in=[answer.change.pk for answer in answers]))
    context = around(request, sheet_of(request)) | {
        "rows": rows,
        "answers": {answer.change.pk: answer for answer in answers if not answer.done},
    }
    return render(request, "desk/_week_parts.html", context, status=status)


def _back(request: HttpRequest, done: list[int]) -> str:
    query = f"?{request.GET.urlencode()}" if request.GET else ""
    place = f"#change-{done[0]}" if len(done) == 1 else ""
    return f"{reverse('desk:week')}{query}{place}"
