"""By what a site's reference ET is corrected: noted with day and reason, set right, read."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from common import clock
from desk import notices
from desk.access import StaffRequest, staff
from desk.blanks import Sheet
from desk.figures import share
from desk.keeping import keep
from desk.sheets.correction import correction_blanks
from fleet.models import Site, SiteCorrection
from fleet.services.site_corrections import correct_site, edit_correction


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def site_corrections(request: StaffRequest, pk: int) -> HttpResponse:
    """Show a site's corrections and note another one."""
    sites = Site.objects.visible_to(request.user).of_company(request.member.company_id)
    site = get_object_or_404(sites.select_related("client__company"), pk=pk)
    opened = SiteCorrection(site=site, factor=1.0, effective_from=clock.today(site.timezone))
    sheet = Sheet(correction_blanks(new=True), row=opened, posted=_posted(request))
    if request.method != "POST":
        return _page(request, site, sheet)
    _, status = keep(sheet, lambda: correct_site(site=site, by=request.user, **sheet.values))
    if status != 200:
        return _page(request, site, sheet, status=status)
    return _said(request, site, sheet.values["factor"])


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def site_correction(request: StaffRequest, pk: int) -> HttpResponse:
    """Show one correction, or set it right."""
    row = _row(request, pk)
    sheet = Sheet(correction_blanks(new=False), row=_row(request, pk), posted=_posted(request))
    if request.method != "POST":
        return _page(request, row.site, sheet, row=row)
    _, status = keep(
        sheet, lambda: edit_correction(correction=row, by=request.user, **sheet.decide(_row(request, pk)))
    )
    if status != 200:
        return _page(request, row.site, sheet, row=row, status=status)
    return _said(request, row.site, sheet.values["factor"])


def _posted(request: StaffRequest) -> Any:
    return request.POST if request.method == "POST" else None


def _row(request: StaffRequest, pk: int) -> SiteCorrection:
    rows = SiteCorrection.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(rows.select_related("site__client__company"), pk=pk)


def _said(request: StaffRequest, site: Site, factor: float) -> HttpResponse:
    notices.say(request, f"{site}: counted at {share(factor)} of the reference ET of its place.")
    return redirect("desk:site-corrections", site.pk)


def _page(
    request: StaffRequest, site: Site, sheet: Sheet, *, row: SiteCorrection | None = None, status: int = 200
) -> HttpResponse:
    context = {
        "site": site,
        "units": request.member.company.units,
        "sheet": sheet,
        "on": clock.today(site.timezone),
        "row": row,
        "rows": list(site.corrections.select_related("by").order_by("-effective_from")),
    }
    return render(request, "desk/site_corrections.html", context, status=status)
