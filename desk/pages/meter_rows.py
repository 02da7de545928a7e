"""Readings set right or taken away, and the bills of a meter."""

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from common.errors import NotAllowed
from desk import notices
from desk.access import StaffRequest, staff
from desk.blanks import Sheet
from desk.keeping import keep
from desk.meter_words import UNITS, register
from desk.pages.meters import meter_of
from desk.sheets.meter import OpenedBill, bill_blanks, reading_blanks
from fleet.models import Meter, MeterBill, MeterReading
from fleet.services.meter_readings import edit_bill, edit_reading, note_bill, remove_bill, remove_reading


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def meter_reading(request: StaffRequest, pk: int) -> HttpResponse:
    """Show one reading, or set it right."""
    row = _reading(request, pk)
    posted = request.POST if request.method == "POST" else None
    sheet = Sheet(reading_blanks(UNITS[row.meter.unit], new=False), row=_reading(request, pk), posted=posted)
    if posted is not None:
        kept, status = keep(
            sheet, lambda: edit_reading(reading=row, by=request.user, **sheet.decide(_reading(request, pk)))
        )
        if kept is not None:
            notices.say(request, f"It reads {register(kept.value, row.meter)} now.")
            return redirect("desk:meter", row.meter_id)
    else:
        status = 200
    context = {
        "meter": row.meter,
        "site": row.meter.site,
        "units": request.member.company.units,
        "row": row,
        "sheet": sheet,
    }
    return render(request, "desk/meter_reading.html", context, status=status)


@staff
@require_POST
def meter_reading_drop(request: StaffRequest, pk: int) -> HttpResponse:
    """Take away a reading that never was."""
    row = _reading(request, pk)
    try:
        remove_reading(reading=row, by=request.user)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    notices.say(request, f"The reading of {register(row.value, row.meter)} is taken away.")
    return redirect("desk:meter", row.meter_id)


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def meter_bills(request: StaffRequest, pk: int) -> HttpResponse:
    """Show a meter's bills and note another one."""
    meter = meter_of(request, pk)
    posted = request.POST if request.method == "POST" else None
    sheet = Sheet(bill_blanks(UNITS[meter.unit], new=True), row=OpenedBill(), posted=posted)
    if posted is None:
        return _bills(request, meter, sheet)
    kept, status = keep(sheet, lambda: note_bill(meter=meter, by=request.user, **sheet.values))
    if kept is None:
        return _bills(request, meter, sheet, status=status)
    notices.say(request, f"The bill of {register(kept.used, meter)} is kept.")
    return redirect("desk:meter-bills", pk)


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def meter_bill(request: StaffRequest, pk: int) -> HttpResponse:
    """Show one bill, or set it right."""
    row = _bill(request, pk)
    posted = request.POST if request.method == "POST" else None
    sheet = Sheet(bill_blanks(UNITS[row.meter.unit], new=False), row=_bill(request, pk), posted=posted)
    if posted is None:
        return _bills(request, row.meter, sheet, row=row)
    kept, status = keep(
        sheet, lambda: edit_bill(bill=row, by=request.user, **sheet.decide(_bill(request, pk)))
    )
    if kept is None:
        return _bills(request, row.meter, sheet, row=_bill(request, pk), status=status)
    notices.say(request, f"The bill is {register(kept.used, row.meter)} now.")
    return redirect("desk:meter-bills", row.meter_id)


@staff
@require_POST
def meter_bill_drop(request: StaffRequest, pk: int) -> HttpResponse:
    """Take away a bill that never was."""
    row = _bill(request, pk)
    try:
        remove_bill(bill=row, by=request.user)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    notices.say(request, f"The bill of {register(row.used, row.meter)} is taken away.")
    return redirect("desk:meter-bills", row.meter_id)


def _reading(request: StaffRequest, pk: int) -> MeterReading:
    rows = MeterReading.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(rows.select_related("meter__site__client__company", "by"), pk=pk)


def _bill(request: StaffRequest, pk: int) -> MeterBill:
    rows = MeterBill.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(rows.select_related("meter__site__client__company"), pk=pk)


def _bills(
    request: StaffRequest, meter: Meter, sheet: Sheet, *, row: MeterBill | None = None, status: int = 200
) -> HttpResponse:
    context = {
        "meter": meter,
        "site": meter.site,
        "units": request.member.company.units,
        "sheet": sheet,
        "row": row,
        "bills": list(meter.bills.select_related("by").order_by("-first")),
    }
    return render(request, "desk/meter_bills.html", context, status=status)
