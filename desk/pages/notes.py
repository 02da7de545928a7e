"""Notes from clients, for the contractor: read, answered in words, or turned into nights left out."""

from datetime import date
from typing import Any

from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from common.errors import MovedOn, NotAllowed, Refused
from desk import notices
from desk.access import StaffRequest, staff
from desk.company import timezone_of
from fleet.models import ClientNote
from fleet.selectors.people import may_decide
from fleet.services.client_notes import answer_note
from scheduling.selectors.client_notes import notes_for, told
from scheduling.services.wishes import Chosen, grant, take_back, wishes_of

A_PAGE = 40
MOST_CHOSEN = 200
Status = ClientNote.Status
VIEWS = {
    "waiting": ("waiting", Q(status=Status.WAITING)),
    "done": ("answered", Q(status__in=[Status.ANSWERED, Status.GRANTED])),
    "all": ("all", Q()),
}


@staff
@require_safe
def notes(request: StaffRequest) -> HttpResponse:
    """List a company's notes: those that wait the oldest first, others the newest first."""
    rows = notes_for(request.user).of_company(request.member.company_id)
    plain = ClientNote.objects.visible_to(request.user).of_company(request.member.company_id)
    counts = plain.order_by().aggregate(
        **{name: Count("pk", filter=what) for name, (_, what) in VIEWS.items()}
    )
    view = request.GET.get("view", "")
    view = view if view in VIEWS else ("waiting" if counts["waiting"] else "all")
    order = ("written_at", "pk") if view == "waiting" else ("-pk",)
    page = Paginator(rows.filter(VIEWS[view][1]).order_by(*order), A_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "rows": told(page.object_list),
        "views": [(name, words, counts[name]) for name, (words, _) in VIEWS.items()],
        "view": view,
        "query": f"view={view}",
        "timezone": timezone_of(request.member.company_id),
    }
    return render(request, "desk/notes.html", context)


@staff
@require_safe
def note(request: StaffRequest, pk: int) -> HttpResponse:
    """Show a note with what can be done about it."""
    return _page(request, pk)


@staff
@require_POST
def note_answer(request: StaffRequest, pk: int) -> HttpResponse:
    """Answer a note in words."""
    found, typed = _found(request, pk), request.POST.get("answer", "")
    try:
        answer_note(note=found, by=request.user, answer=typed)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except Refused as error:
        return _page(request, pk, typed=typed, error=error.message, status=422)
    except MovedOn as error:
        return _page(request, pk, typed=typed, conflict=error.message, status=409)
    notices.say(request, f"{found.site.client} will read your answer.")
    return redirect("desk:note", pk)


@staff
@require_POST
def note_skip(request: StaffRequest, pk: int) -> HttpResponse:
    """Leave the ticked nights out."""
    found, typed = _found(request, pk), request.POST.get("answer", "")
    try:
        chosen = [_chosen(text) for text in request.POST.getlist("skip")[:MOST_CHOSEN]]
        grant(note=found, by=request.user, chosen=chosen, answer=typed)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except Refused as error:
        field = "skip_answer" if error.field == "answer" else "skip_error"
        return _page(request, pk, typed_along=typed, status=422, **{field: error.message})
    except MovedOn as error:
        return _page(request, pk, typed_along=typed, conflict=error.message, status=409)
    notices.say(request, "These nights are left out once they are entered at the controllers.")
    return redirect("desk:note", pk)


@staff
@require_POST
def note_take_back(request: StaffRequest, pk: int) -> HttpResponse:
    """Let an answered note wait again."""
    found = _found(request, pk)
    try:
        take_back(note=found, by=request.user)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except MovedOn as error:
        return _page(request, pk, conflict=error.message, status=409)
    notices.say(request, "Taken back; the note waits again.")
    return redirect("desk:note", pk)


def _found(request: StaffRequest, pk: int) -> ClientNote:
    rows = notes_for(request.user).of_company(request.member.company_id)
    return get_object_or_404(rows, pk=pk)


def _chosen(text: str) -> Chosen:
    """Read what a ticked box carries: a program and the nights that were shown.

    Raises
    ------
    Refused
        If it is something else.
    """
    try:
        program, first, last = text.split(" ")
        if not (program.isascii() and program.isdecimal() and len(program) < 19):
            raise ValueError(program)
        return Chosen(int(program), date.fromisoformat(first), date.fromisoformat(last))
    except ValueError:
        raise Refused("Choose among the programs that are shown.", field="skip") from None


def _page(request: StaffRequest, pk: int, *, status: int = 200, **said: Any) -> HttpResponse:
    found = _found(request, pk)
    one = told([found])[0]
    decides = may_decide(request.user, request.member.company_id)
    waits = found.status == Status.WAITING
    context: dict[str, Any] = {
        "one": one,
        "note": found,
        "site": found.site,
        "timezone": found.site.timezone,
        "decides": decides,
        "waits": waits,
        "wishes": wishes_of(found) if waits and found.dry_from else [],
    }
    return render(request, "desk/note.html", context | said, status=status)
