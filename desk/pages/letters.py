"""Letters: what went out, what waits, what nobody knows about; and what a person says about one."""

from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from common.errors import MovedOn
from desk import notices
from desk.access import StaffRequest, staff
from desk.company import timezone_of, today_of
from desk.pack import pack_words
from desk.pages.client import found_client
from desk.shown_files import shown
from fleet.models import Letter, LetterFile
from fleet.selectors.people import may_manage
from fleet.services.letters.decide import AGAIN, ARRIVED, FROM, STOP, decide_letter
from reports.paper.press import pdf

A_PAGE = 60
OPEN = (Letter.State.UNSURE, Letter.State.FAILED)
VIEWS = {
    "open": ("need a decision", Q(state__in=OPEN)),
    "waiting": ("waiting", Q(state__in=[Letter.State.WAITING, Letter.State.SENDING])),
    "sent": ("sent", Q(state=Letter.State.SENT)),
    "all": ("all", Q()),
}
SAID = {
    AGAIN: "The letter to {to} waits to be sent again.",
    ARRIVED: "The letter to {to} counts as sent.",
    STOP: "The letter to {to} won't be sent.",
}


@staff
@require_safe
def letters(request: StaffRequest) -> HttpResponse:
    """List letters, the newest first."""
    _managers(request)
    rows = Letter.objects.visible_to(request.user).of_company(request.member.company_id)
    counts = rows.order_by().aggregate(
        **{name: Count("pk", filter=what) for name, (_, what) in VIEWS.items()}
    )
    view = request.GET.get("view", "")
    view = view if view in VIEWS else ("open" if counts["open"] else "all")
    listed = rows.filter(VIEWS[view][1]).select_related("client", "decided_by").defer("text", "html")
    page = Paginator(listed.prefetch_related("files"), A_PAGE).get_page(request.GET.get("page"))
    views = [(name, words, counts[name]) for name, (words, _) in VIEWS.items()]
    context = {
        "page": page,
        "views": views,
        "view": view,
        "query": f"view={view}",
        "timezone": timezone_of(request.member.company_id),
    }
    return render(request, "desk/letters.html", context)


@staff
@require_safe
def letter(request: StaffRequest, pk: int) -> HttpResponse:
    """Show one letter as it went out."""
    found = _found(request, pk)
    allowed = [what for what in (AGAIN, ARRIVED, STOP) if found.state in FROM[what]]
    steps = [(what, reverse(f"desk:letter-{what}", args=[pk])) for what in allowed]
    context = {"letter": found, "steps": steps, "timezone": timezone_of(found.company_id)}
    return render(request, "desk/letter.html", context)


@staff
@require_safe
def letter_file(request: StaffRequest, pk: int, file_pk: int) -> HttpResponse:
    """Send a file that went with a letter."""
    file = get_object_or_404(LetterFile, letter=_found(request, pk), pk=file_pk)
    return shown(bytes(file.content), file.name, file.content_type)


@staff
@require_POST
def letter_decide(request: StaffRequest, pk: int, what: str) -> HttpResponse:
    """Do what a person says about a letter."""
    found = _found(request, pk)
    try:
        decide_letter(letter=found, by=request.user, what=what)
    except MovedOn as error:
        notices.warn(request, error.message)
    else:
        notices.say(request, SAID[what].format(to=found.to))
    return redirect("desk:letter", pk)


@staff
@require_safe
def pack(request: StaffRequest, pk: int) -> HttpResponse:
    """Send the pack of a client as it would be today."""
    client = found_client(request, pk)
    on = today_of(client.company_id)
    made = pdf("pack", pack_words(client, on=on), on=on)
    return shown(made, f"watering-{on.isoformat()}.pdf")


def _found(request: StaffRequest, pk: int) -> Letter:
    _managers(request)
    rows = Letter.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(rows.select_related("client", "company", "decided_by", "written_by"), pk=pk)


def _managers(request: StaffRequest) -> None:
    if not may_manage(request.user, request.member.company_id):
        raise PermissionDenied
