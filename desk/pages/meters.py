"""The water meters of a site: what each showed last and counted by month; set up, edited, removed."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from common import clock
from common.errors import MovedOn, NotAllowed
from desk import notices
from desk.access import StaffRequest, staff
from desk.blanks import Sheet
from desk.charts.metered import metered_chart
from desk.keeping import keep
from desk.meter_words import covers
from desk.sheets.meter import OpenedMeter, meter_blanks
from fleet.models import Meter, MeterReading, Site
from fleet.selectors.meter_months import months_of
from fleet.selectors.people import may_set_up
from fleet.services.meters import edit_meter, remove_meter, set_up_meter

MONTHS = 24
RELATIONS = ("site__client__company", "source")


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def meters(request: StaffRequest, pk: int) -> HttpResponse:
    """Show a site's meters and set another one up."""
    sites = Site.objects.visible_to(request.user).of_company(request.member.company_id)
    site = get_object_or_404(sites.select_related("client__company"), pk=pk)
    opened = OpenedMeter(unit="kgal" if request.member.company.units == "us" else "m3")
    sheet = Sheet(meter_blanks(site), row=opened, posted=request.POST if request.method == "POST" else None)
    if request.method != "POST":
        return _page(request, site, sheet)
    meter, status = keep(sheet, lambda: set_up_meter(site=site, by=request.user, **sheet.values))
    if meter is None:
        return _page(request, site, sheet, status=status)
    notices.say(request, f"{meter} is set up. Enter what it reads, or bring a file.")
    return redirect("desk:meter", meter.pk)


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def meter_edit(request: StaffRequest, pk: int) -> HttpResponse:
    """Edit a meter."""
    row = meter_of(request, pk)
    if not may_set_up(request.user, request.member.company_id):
        raise PermissionDenied("Only the owner and the office set this up.")
    posted = request.POST if request.method == "POST" else None
    sheet = Sheet(meter_blanks(row.site), row=meter_of(request, pk), posted=posted)
    if posted is None:
        return _edit_page(request, row, sheet)

    def write() -> Meter:
        return edit_meter(meter=row, by=request.user, **sheet.decide(meter_of(request, pk)))

    kept, status = keep(sheet, write)
    if kept is None:
        return _edit_page(request, meter_of(request, pk), sheet, status=status)
    notices.say(request, f"{kept} is kept.")
    return redirect("desk:meter", pk)


@staff
@require_POST
def meter_drop(request: StaffRequest, pk: int) -> HttpResponse:
    """Remove a meter nothing was ever read from."""
    row = meter_of(request, pk)
    try:
        remove_meter(meter=row, by=request.user)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except MovedOn as error:
        notices.warn(request, error.message)
        return redirect("desk:meter", pk)
    notices.say(request, f"{row} is removed.")
    return redirect("desk:meters", row.site_id)


def meter_of(request: StaffRequest, pk: int) -> Meter:
    """Return a meter of the person's company."""
    rows = Meter.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(rows.select_related(*RELATIONS).prefetch_related("zones"), pk=pk)


def _page(request: StaffRequest, site: Site, sheet: Sheet, *, status: int = 200) -> HttpResponse:
    units, on = request.member.company.units, clock.today(site.timezone)
    rows = list(site.meters.select_related(*RELATIONS).prefetch_related("zones"))
    months = months_of([one.pk for one in rows], on=on, months=MONTHS, timezone=site.timezone)
    last: dict[int, MeterReading] = {}
    for reading in MeterReading.objects.filter(meter__in=rows).order_by("read_at"):
        last[reading.meter_id] = reading
    lines: list[dict[str, Any]] = [
        {
            "meter": one,
            "covers": covers(one),
            "last": last.get(one.pk),
            "months": months[one.pk],
            "year_l": sum(month.litres for month in months[one.pk] if month.first.year == on.year),
            "chart": metered_chart(months[one.pk], units=units, name=one.name) if months[one.pk] else None,
        }
        for one in rows
    ]
    context = {
        "site": site,
        "units": units,
        "on": on,
        "lines": lines,
        "sheet": sheet,
        "may_set_up": may_set_up(request.user, request.member.company_id),
        "charted": any(line["chart"] for line in lines),
    }
    return render(request, "desk/meters.html", context, status=status)


def _edit_page(request: StaffRequest, meter: Meter, sheet: Sheet, *, status: int = 200) -> HttpResponse:
    bare = not (meter.readings.exists() or meter.bills.exists() or meter.hours.exists())
    context = {"meter": meter, "site": meter.site, "sheet": sheet, "bare": bare}
    return render(request, "desk/meter_edit.html", context, status=status)
