"""One meter's baseline: fitted on chosen days, shown beside its bills."""

from datetime import date, timedelta
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from common import clock
from common import units as convert
from desk import figures, notices
from desk.access import StaffRequest, staff
from desk.blanks import Sheet
from desk.charts.baseline_fit import baseline_chart
from desk.keeping import keep
from desk.measured_words import days_of, how_good, result
from desk.sheets.non_routine import period_blanks
from fleet.models import Meter
from fleet.selectors.people import may_set_up
from reports.models import MeterBaseline
from reports.selectors.measured import MeterSavings, changes_of, meter_savings
from reports.selectors.metered.fits import expected, kept_points
from reports.services.baselines import fit_baseline
from scheduling.models import Program

LONG_AGO = date(1970, 1, 1)
THREE_YEARS = timedelta(days=3 * 365)


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def meter_measured(request: StaffRequest, pk: int) -> HttpResponse:
    """Show a meter's baseline and what was measured against it, or fit another one."""
    meter = meter_of(request, pk)
    last = _taken_over(meter) - timedelta(days=1)
    opened = MeterBaseline(meter=meter, first=last - THREE_YEARS, last=last)
    sheet = Sheet(period_blanks(), row=opened, posted=request.POST if request.method == "POST" else None)
    if request.method != "POST":
        return _page(request, meter, period=sheet)
    kept, status = keep(sheet, lambda: fit_baseline(meter=meter, by=request.user, **sheet.values))
    if kept is None:
        return _page(request, meter, period=sheet, status=status)
    if kept.refused:
        notices.warn(request, f"The fit was kept but isn't used. {kept.refused}")
    else:
        notices.say(request, f"{meter}: the baseline rests on {len(kept.points)} bills.")
    return redirect("desk:meter-measured", meter.pk)


def meter_of(request: StaffRequest, pk: int) -> Meter:
    """Return a meter of the company a person works in."""
    meters = Meter.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(meters.select_related("site__cell", "site__client__company"), pk=pk)


def _taken_over(meter: Meter) -> date:
    """Return the day the first program of a meter's site is known from, today without one."""
    programs = Program.objects.filter(controller__site=meter.site_id).order_by("effective")
    found: date | None = programs.values_list("effective", flat=True).first()
    return found or clock.today(meter.site.timezone)


def _page(
    request: StaffRequest,
    meter: Meter,
    *,
    period: Sheet | None = None,
    status: int = 200,
) -> HttpResponse:
    units, on = request.member.company.units, clock.today(meter.site.timezone)
    fits = list(meter.baselines.select_related("by").order_by("-fitted_at"))
    baseline = next((one for one in fits if one.replaced_at is None), None)
    found = next(iter(meter_savings([meter], first=LONG_AGO, last=on - timedelta(days=1))), None)
    lines = _lines(baseline, found)
    last = _taken_over(meter) - timedelta(days=1)
    opened = MeterBaseline(meter=meter, first=last - THREE_YEARS, last=last)
    context = {
        "meter": meter,
        "site": meter.site,
        "units": units,
        "baseline": baseline,
        "fits": fits,
        "good": how_good(baseline) if baseline is not None else [],
        "found": found,
        "words": result(found, units) if found else "",
        "days": days_of(found, units) if found else "",
        "lines": lines,
        "chart": _chart(lines, units) if lines else None,
        "changes": changes_of([meter])[meter.pk],
        "may_set_up": may_set_up(request.user, request.member.company_id),
        "period": period or Sheet(period_blanks(), row=opened),
    }
    return render(request, "desk/meter_measured.html", context, status=status)


def _lines(baseline: MeterBaseline | None, found: MeterSavings | None) -> list[dict[str, Any]]:
    """Return the bills a baseline rests on, then those that count, with what it says of each. [L]"""
    if baseline is None or not baseline.points:
        return []
    own = kept_points(baseline)
    lines = [
        {"point": point, "expected_l": float(litres), "counts": False}
        for point, litres in zip(own, expected(baseline, own), strict=True)
    ]
    for bill in found.bills if found else []:
        lines.append({"point": bill.point, "expected_l": bill.expected_l, "counts": True})
    return [line | {"saved_l": line["expected_l"] - line["point"].used_l} for line in lines]  # type: ignore[attr-defined]


def _chart(lines: list[dict[str, Any]], units: str) -> dict[str, Any]:
    per, unit = (convert.L_PER_GALLON * 1000, "1,000 gal") if units == "us" else (convert.L_PER_M3, "m³")
    rows = [
        {
            "day": f"{line['point'].last:%b %d, %Y}" if units == "us" else f"{line['point'].last:%d %b %Y}",
            "used": round(line["point"].used_l / per, 3),
            "expected": round(line["expected_l"] / per, 3),
            "counts": line["counts"],
        }
        for line in lines
    ]
    counted = [line for line in lines if line["counts"]]
    description = f"Use of {len(lines)} bills beside the baseline"
    if counted:
        saved = figures.water(sum(line["saved_l"] for line in counted), units)
        description += f"; over the {len(counted)} that count it says {saved} more than was used"
    return baseline_chart(rows, unit=unit, description=f"{description}.")
