"""What no weather explains at a meter: logged with days, litres and reason, set right, taken off."""

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from common import clock
from common.errors import BluestemError, NotAllowed
from desk import notices
from desk.access import StaffRequest, staff
from desk.blanks import Sheet
from desk.keeping import keep
from desk.pages.measured.meter import meter_of
from desk.sheets.non_routine import change_blanks
from fleet.models import Meter
from fleet.selectors.people import may_set_up
from reports.models import NonRoutineChange
from reports.selectors.measured import changes_of
from reports.services.baselines import edit_change, log_change, remove_change


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def not_routine(request: StaffRequest, pk: int) -> HttpResponse:
    """Show what is logged of a meter, and log more."""
    meter = meter_of(request, pk)
    blanks = change_blanks(request.member.company.units)
    sheet = Sheet(blanks, row=_blank(meter), posted=request.POST if request.method == "POST" else None)
    if request.method != "POST":
        return _page(request, meter, sheet)
    _, status = keep(sheet, lambda: log_change(meter=meter, by=request.user, **sheet.values))
    if status != 200:
        return _page(request, meter, sheet, status=status)
    notices.say(request, "Logged. Savings are counted with it.")
    return redirect("desk:meter-measured", meter.pk)


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def not_routine_change(request: StaffRequest, pk: int) -> HttpResponse:
    """Show one logged change, or set it right."""
    row = _change(request, pk)
    meter = meter_of(request, row.meter_id)
    blanks = change_blanks(request.member.company.units)
    sheet = Sheet(blanks, row=_change(request, pk), posted=request.POST if request.method == "POST" else None)
    if request.method != "POST":
        return _page(request, meter, sheet, row=row)
    _, status = keep(
        sheet, lambda: edit_change(change=row, by=request.user, **sheet.decide(_change(request, pk)))
    )
    if status != 200:
        return _page(request, meter, sheet, row=row, status=status)
    notices.say(request, "Set right. Savings are counted with it.")
    return redirect("desk:meter-measured", meter.pk)


@staff
@require_POST
def not_routine_remove(request: StaffRequest, pk: int) -> HttpResponse:
    """Take a logged change off."""
    row = _change(request, pk)
    try:
        remove_change(change=row, by=request.user)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except BluestemError as error:
        notices.warn(request, error.message)
    else:
        notices.say(request, "Taken off. Savings are counted without it.")
    return redirect("desk:meter-measured", row.meter_id)


def _change(request: StaffRequest, pk: int) -> NonRoutineChange:
    rows = NonRoutineChange.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(rows.select_related("meter__site__client"), pk=pk)


def _blank(meter: Meter) -> NonRoutineChange:
    return NonRoutineChange(meter=meter, kind="leak", first=clock.today(meter.site.timezone), litres_day=0)


def _page(
    request: StaffRequest,
    meter: Meter,
    sheet: Sheet,
    *,
    row: NonRoutineChange | None = None,
    status: int = 200,
) -> HttpResponse:
    context = {
        "meter": meter,
        "site": meter.site,
        "units": request.member.company.units,
        "changes": changes_of([meter])[meter.pk],
        "may_set_up": may_set_up(request.user, request.member.company_id),
        "sheet": sheet,
        "row": row,
    }
    return render(request, "desk/not_routine.html", context, status=status)
