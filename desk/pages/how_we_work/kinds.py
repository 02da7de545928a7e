"""The kinds of zones a company often meets: what a row of the survey begins with."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from common.errors import Refused
from desk import notices
from desk.access import StaffRequest
from desk.blanks import Sheet
from desk.how_we_work import REFUSED, around, keepers, save
from desk.sheets.kind import kind_blanks
from fleet.models import SettingEdit, ZonePreset
from fleet.services.edits import add_row, drop_row
from fleet.services.presets import begin_with_kinds

Topic = SettingEdit.Topic


@keepers
@require_http_methods(["GET", "HEAD", "POST"])
def kinds(request: StaffRequest) -> HttpResponse:
    """List the kinds, or add one."""
    company = request.member.company
    blanks = kind_blanks(company.units)
    fresh = ZonePreset(
        company=company, plant="cool_turf", head="spray", soil="loam", sun="full", slope_percent=1
    )
    if request.method != "POST":
        return _list(request, Sheet(blanks, row=fresh))
    sheet = Sheet(blanks, row=fresh, posted=request.POST)
    if sheet.read():
        try:
            row = add_row(
                row=ZonePreset(company=company, **sheet.values), by=request.user, company_id=company.pk
            )
        except Refused as refused:
            sheet.refuse(refused)
        else:
            notices.say(request, f"{row.name} is there now. It is offered wherever zones are set up.")
            return redirect("desk:settings-kinds")
    return _list(request, sheet, status=REFUSED)


@keepers
@require_POST
def usual_kinds(request: StaffRequest) -> HttpResponse:
    """Put the usual kinds in where there are none."""
    added = begin_with_kinds(request.member.company)
    notices.say(
        request, f"{added} kinds were added." if added else "There are kinds already; none was added."
    )
    return redirect("desk:settings-kinds")


@keepers
@require_http_methods(["GET", "HEAD", "POST"])
def kind(request: StaffRequest, pk: int) -> HttpResponse:
    """Show one kind, or change it."""
    row = _row(request, pk)
    blanks = kind_blanks(request.member.company.units)
    if request.method != "POST":
        return _one(request, row, Sheet(blanks, row=row))
    sheet = Sheet(blanks, row=row, posted=request.POST)
    status = save(request, sheet, row, topic=Topic.KIND) if sheet.read() else REFUSED
    return redirect("desk:settings-kind", pk) if status == 200 else _one(request, row, sheet, status=status)


@keepers
@require_POST
def drop_kind(request: StaffRequest, pk: int) -> HttpResponse:
    """Delete a kind; zones set up from it stay."""
    row = _row(request, pk)
    drop_row(row=row, by=request.user, company_id=request.member.company_id)
    notices.say(request, f"{row.name} was deleted. Zones set up from it stay as they are.")
    return redirect("desk:settings-kinds")


def _row(request: StaffRequest, pk: int) -> ZonePreset:
    rows = ZonePreset.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(rows, pk=pk)


def _list(request: StaffRequest, sheet: Sheet, *, status: int = 200) -> HttpResponse:
    rows = ZonePreset.objects.visible_to(request.user).of_company(request.member.company_id)
    context = around(request, Topic.KIND) | {"sheet": sheet, "rows": rows}
    return render(request, "desk/settings_kinds.html", context, status=status)


def _one(request: StaffRequest, row: ZonePreset, sheet: Sheet, *, status: int = 200) -> HttpResponse:
    row.refresh_from_db()
    context = around(request, Topic.KIND, row=row.pk) | {"sheet": sheet, "row": row}
    return render(request, "desk/settings_kind.html", context, status=status)
