"""One finding: what is broken, since when, its photos; more photos of it."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from desk import notices
from desk.access import StaffRequest, staff
from desk.keeping import REFUSED
from desk.photos import asked, take_photos
from fleet.models import Finding
from fleet.selectors.photos import photos_for, seen_with


@staff
@require_safe
def finding(request: StaffRequest, pk: int) -> HttpResponse:
    """Show a finding."""
    return finding_page(request, finding_of(request, pk))


@staff
@require_POST
def finding_photos(request: StaffRequest, pk: int) -> HttpResponse:
    """Add photos to a finding."""
    found = finding_of(request, pk)
    sent = take_photos(request, finding=found)
    if not sent.kept and not sent.told:
        sent.told.append("Pick a photo first.")
    if sent.told:
        return finding_page(request, found, told=sent.told, status=REFUSED)
    count = len(sent.kept)
    notices.say(request, "The photo is kept." if count == 1 else f"{count} photos are kept.")
    return redirect("desk:finding", pk)


def finding_of(request: StaffRequest, pk: int) -> Finding:
    """Return a finding of the person's company."""
    rows = Finding.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(rows.select_related("zone__controller__site__client__company"), pk=pk)


def finding_page(
    request: StaffRequest, found: Finding, *, told: list[str] | None = None, status: int = 200
) -> HttpResponse:
    """Return the page of a finding; ``told`` is what is wrong with photos just sent."""
    context = {
        "finding": found,
        "site": found.zone.controller.site,
        "units": request.member.company.units,
        "photos": list(photos_for(request.user).filter(finding=found)),
        "seen_with": seen_with(request.user, found),
        "asked": asked(told),
    }
    return render(request, "desk/finding.html", context, status=status)
