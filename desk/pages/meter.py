"""One meter: what it reads entered on the spot, what it counted since, and what is doubtful about it."""

from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone as real_time
from django.views.decorators.http import require_http_methods, require_POST

from common import clock
from desk import notices
from desk.access import StaffRequest, staff
from desk.blanks import Sheet
from desk.charts.metered import metered_chart
from desk.keeping import REFUSED, keep
from desk.meter_words import UNITS, asked, covers, since
from desk.pages.meters import MONTHS, meter_of
from desk.sheets.meter import OpenedReading, moment_of, reading_blanks
from fleet.models import Meter, MeterReading
from fleet.selectors.meter_months import months_of
from fleet.selectors.meter_use import spans_of
from fleet.selectors.people import may_set_up
from fleet.selectors.reading_check import ReadingCheck, check_reading, latest_of
from fleet.services.meter_readings import note_reading

SHOWN = 30
DOUBTS = 20


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def meter(request: StaffRequest, pk: int) -> HttpResponse:
    """Show a meter, or keep what it reads: once more asked where it isn't plausible."""
    row = meter_of(request, pk)
    if request.method != "POST":
        return _page(request, row, _sheet(row))
    sheet = _sheet(row, posted=request.POST)
    if not sheet.read():
        return _page(request, row, sheet, status=REFUSED)
    check, units = _checked(row, sheet), request.member.company.units
    if _kept_already(row, sheet):  # the button was pressed twice
        return redirect("desk:meter", pk)
    doubts = asked(check, row, units)
    if doubts and request.POST.get("sure") != _mark(sheet):
        return _page(request, row, sheet, status=REFUSED, doubts=doubts)

    def write() -> MeterReading:
        said = {name: sheet.values[name] for name in ("value", "reset", "note")}
        return note_reading(
            meter=row, by=request.user, read_at=moment_of(sheet.values, row.site.timezone), **said
        )

    kept, status = keep(sheet, write)
    if kept is None:
        if "" in sheet.errors:
            sheet.errors["read_time"] = sheet.errors.pop("")
        return _page(request, row, sheet, status=status)
    notices.say(request, f"Kept. {since(check, row, units)}")
    return redirect("desk:meter", pk)


@staff
@require_POST
def meter_live(request: StaffRequest, pk: int) -> HttpResponse:
    """Show the use since the reading before as it is typed, storing nothing."""
    row = meter_of(request, pk)
    sheet = _sheet(row, posted=request.POST)
    units = request.member.company.units
    context: dict[str, Any] = {}
    if sheet.typed(sheet.blanks[0]) and sheet.read():
        check = _checked(row, sheet)
        context = {"since": since(check, row, units), "doubts": asked(check, row, units)}
    return render(request, "desk/_meter_live.html", context)


def _sheet(meter: Meter, *, posted: QueryDict | None = None) -> Sheet:
    now = real_time.now().astimezone(ZoneInfo(meter.site.timezone))
    opened = OpenedReading(
        clock.today(meter.site.timezone), now.time().replace(second=0, microsecond=0, tzinfo=None)
    )
    return Sheet(reading_blanks(UNITS[meter.unit], new=True), row=opened, posted=posted)


def _checked(meter: Meter, sheet: Sheet) -> ReadingCheck:
    read_at = moment_of(sheet.values, meter.site.timezone)
    return check_reading(meter, read_at=read_at, value=sheet.values["value"], reset=sheet.values["reset"])


def _kept_already(meter: Meter, sheet: Sheet) -> bool:
    said = {name: sheet.values[name] for name in ("value", "reset", "note")}
    return meter.readings.filter(read_at=moment_of(sheet.values, meter.site.timezone), **said).exists()


def _mark(sheet: Sheet) -> str:
    """Return what somebody is sure of: another value is asked about anew."""
    return f"{sheet.values['value']:g} {sheet.values['read_on']} {bool(sheet.values['reset'])}"


def _page(
    request: StaffRequest, row: Meter, sheet: Sheet, *, status: int = 200, doubts: list[str] | None = None
) -> HttpResponse:
    units, on = request.member.company.units, clock.today(row.site.timezone)
    months = months_of([row.pk], on=on, months=MONTHS, timezone=row.site.timezone)[row.pk]
    spans = spans_of([row.pk], first=on - timedelta(days=366), last=on)[row.pk]
    readings = list(row.readings.select_related("by").order_by("-read_at")[:SHOWN])
    since_before = {span.end.timestamp(): span for span in spans if span.origin == "reading"}
    context = {
        "meter": row,
        "site": row.site,
        "units": units,
        "unit": UNITS[row.unit],
        "covers": covers(row),
        "sheet": sheet,
        "typed": {one.blank.name: one for one in sheet},
        "doubts": doubts or [],
        "sure": _mark(sheet) if doubts else "",
        "before": latest_of(row),
        "months": months,
        "chart": metered_chart(months, units=units, name=row.name) if months else None,
        "readings": [(one, since_before.get(one.read_at.timestamp())) for one in readings],
        "bills": list(row.bills.order_by("-first")[:SHOWN]),
        "doubtful": [span for span in spans if span.doubt][-DOUBTS:][::-1],
        "has_hours": row.hours.exists(),
        "may_set_up": may_set_up(request.user, request.member.company_id),
    }
    return render(request, "desk/meter.html", context, status=status)
