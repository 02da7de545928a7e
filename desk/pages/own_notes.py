"""What a client's people write to their contractor about a site: written, read with its answer, withdrawn."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from common.errors import BluestemError, NotAllowed
from desk import notices
from desk.access import PersonRequest, signed_in
from desk.blanks import Sheet
from desk.keeping import keep
from desk.sheets.client_note import note_blanks
from fleet.models import ClientNote, Site
from fleet.services.client_notes import may_write, withdraw_note, write_note
from scheduling.selectors.client_notes import notes_for, told

A_PAGE = 40


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def site_notes(request: PersonRequest, pk: int) -> HttpResponse:
    """Show the notes about a site; its client's people write them here."""
    sites = Site.objects.visible_to(request.user).select_related("client__company")
    site = get_object_or_404(sites, pk=pk)
    sheet = Sheet(note_blanks(), posted=request.POST if request.method == "POST" else None)
    if request.method != "POST":
        return _page(request, site, sheet)
    if not may_write(request.user, site):
        raise PermissionDenied
    _, status = keep(sheet, lambda: write_note(site=site, by=request.user, **sheet.values))
    if status != 200:
        return _page(request, site, sheet, status=status)
    notices.say(request, f"{site.client.company} will read your note. Its answer will stand here.")
    return redirect("desk:site-notes", site.pk)


@signed_in
@require_POST
def note_withdraw(request: PersonRequest, pk: int) -> HttpResponse:
    """Take one's own note back."""
    note = get_object_or_404(ClientNote.objects.visible_to(request.user), pk=pk)
    try:
        withdraw_note(note=note, by=request.user)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except BluestemError as error:
        notices.warn(request, error.message)
    else:
        notices.say(request, "The note is withdrawn.")
    return redirect("desk:site-notes", note.site_id)


def _page(request: PersonRequest, site: Site, sheet: Sheet, *, status: int = 200) -> HttpResponse:
    company = site.client.company
    rows = notes_for(request.user).filter(site=site)
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    context: dict[str, Any] = {
        "site": site,
        "companies": [company],
        "units": company.units,
        "staff": bool(request.user.role_in(company.pk)),
        "may_write": may_write(request.user, site),
        "sheet": sheet,
        "notes": told(page.object_list),
        "page": page,
    }
    return render(request, "desk/site_notes.html", context, status=status)
