"""The company: its name, its units, and how clients reach it."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from desk.access import StaffRequest
from desk.blanks import Sheet
from desk.how_we_work import REFUSED, around, keepers, save
from desk.sheets.company import company_blanks
from fleet.models import Company, SettingEdit

EXAMPLE = {"litres": 8200.0, "depth_mm": 6.5, "low_c": 12.0, "wind_m_s": 3.0, "flow_l_min": 38.0}


@keepers
@require_http_methods(["GET", "HEAD", "POST"])
def company(request: StaffRequest) -> HttpResponse:
    """Show the company's data, or save them."""
    row = Company.objects.get(pk=request.member.company_id)
    if request.method != "POST":
        return _page(request, Sheet(company_blanks(), row=row))
    sheet = Sheet(company_blanks(), row=row, posted=request.POST)
    status = save(request, sheet, row, topic=SettingEdit.Topic.COMPANY) if sheet.read() else REFUSED
    return redirect("desk:settings-company") if status == 200 else _page(request, sheet, status=status)


def _page(request: StaffRequest, sheet: Sheet, *, status: int = 200) -> HttpResponse:
    context = around(request, SettingEdit.Topic.COMPANY) | {"sheet": sheet, "example": EXAMPLE}
    return render(request, "desk/settings_company.html", context, status=status)
