"""The drafts of sites: begin one, go on with one, discard one."""

from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from common.errors import BluestemError
from desk import notices
from desk.access import StaffRequest, staff
from desk.posted import row_ids
from desk.set_up.steps import BY_KEY, STEPS
from fleet.models import Client, SetUpDraft
from fleet.services.drafts import Page, discard_draft, save_part, start_draft

MOST_FINISHED = 10


def drafts_of(request: StaffRequest) -> QuerySet[SetUpDraft]:
    """Return the drafts of the company a person works for."""
    rows = SetUpDraft.objects.visible_to(request.user).of_company(request.member.company_id)
    return rows.select_related("company", "by", "site")


def page_of(draft: SetUpDraft) -> str:
    """Return the address where a draft was left."""
    step = draft.step if draft.step in BY_KEY else STEPS[0].key
    return reverse(f"desk:set-up-{step}", args=[draft.pk])


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def drafts(request: StaffRequest) -> HttpResponse:
    """List the drafts, or begin one."""
    if request.method == "POST":
        try:
            draft = start_draft(company=request.member.company, by=request.user)
            _for_client(request, draft)
            return redirect(page_of(draft))
        except BluestemError as error:
            notices.warn(request, error.message)
    rows = drafts_of(request)
    still_open = list(rows.filter(finished_at=None))
    for draft in still_open:
        draft.page = page_of(draft)  # type: ignore[attr-defined]
        draft.at = BY_KEY.get(draft.step, STEPS[0]).label  # type: ignore[attr-defined]
    done = rows.exclude(finished_at=None).exclude(site=None)[:MOST_FINISHED]
    return render(request, "desk/set_up.html", {"drafts": still_open, "done": done})


def _for_client(request: StaffRequest, draft: SetUpDraft) -> None:
    """Write down for whom the site is, if it was begun on a client's page."""
    mine = Client.objects.visible_to(request.user).of_company(draft.company_id)
    picked = mine.filter(pk__in=row_ids(request.GET, "client")).first()
    if picked is not None:
        save_part(
            draft=draft,
            by=request.user,
            part="client",
            texts={"existing": str(picked.pk)},
            page=Page("", 0, "0"),
            title=picked.name,
        )


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def discard(request: StaffRequest, pk: int) -> HttpResponse:
    """Ask, and then discard a draft."""
    draft = get_object_or_404(drafts_of(request), pk=pk)
    if request.method != "POST":
        return render(request, "desk/set_up_discard.html", {"draft": draft})
    seen = request.POST.get("seen", "")
    try:
        version = int(seen) if seen.isascii() and seen.isdecimal() and len(seen) < 10 else -1
        discard_draft(draft=draft, by=request.user, seen=version)
    except BluestemError as error:
        notices.warn(request, error.message)
        return redirect("desk:set-up")
    notices.say(request, f"The draft “{draft}” was discarded.")
    return redirect("desk:set-up")
