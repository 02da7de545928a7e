"""What water costs: each price, where it holds, and changing it."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from common.errors import Refused
from desk import notices
from desk.access import StaffRequest
from desk.blanks import Sheet
from desk.how_we_work import REFUSED, around, keepers, save
from desk.sheets.price import PER, Per, price_blanks, price_text, usual_per
from fleet.models import SettingEdit, Site, Tariff
from fleet.services.edits import add_row, drop_row

Topic = SettingEdit.Topic


@keepers
@require_http_methods(["GET", "HEAD", "POST"])
def prices(request: StaffRequest) -> HttpResponse:
    """List the prices, or add one."""
    company = request.member.company
    blank = Tariff(company=company, currency=company.currency)
    if request.method != "POST":
        return _list(request, Sheet(price_blanks(_per(request)), row=blank))
    sheet = Sheet(price_blanks(_per(request)), row=blank, posted=request.POST)
    if sheet.read():
        try:
            row = add_row(row=Tariff(company=company, **sheet.values), by=request.user, company_id=company.pk)
        except Refused as refused:
            sheet.refuse(refused)
        else:
            notices.say(request, f"{row.name} is there now. Give it to a site to count money with it.")
            return redirect("desk:settings-prices")
    return _list(request, sheet, status=REFUSED)


@keepers
@require_http_methods(["GET", "HEAD", "POST"])
def price(request: StaffRequest, pk: int) -> HttpResponse:
    """Show one price and where it holds, or change it."""
    row = _row(request, pk)
    if request.method != "POST":
        return _one(request, row, Sheet(price_blanks(_per(request)), row=row))
    sheet = Sheet(price_blanks(_per(request)), row=row, posted=request.POST)
    status = save(request, sheet, row, topic=Topic.PRICE) if sheet.read() else REFUSED
    return redirect("desk:settings-price", pk) if status == 200 else _one(request, row, sheet, status=status)


@keepers
@require_POST
def drop_price(request: StaffRequest, pk: int) -> HttpResponse:
    """Delete a price no site uses."""
    row = _row(request, pk)
    try:
        drop_row(row=row, by=request.user, company_id=request.member.company_id)
    except Refused as refused:
        notices.warn(request, refused.message)
        return _one(request, row, Sheet(price_blanks(_per(request)), row=row), status=REFUSED)
    notices.say(request, f"{row.name} was deleted.")
    return redirect("desk:settings-prices")


def _row(request: StaffRequest, pk: int) -> Tariff:
    rows = Tariff.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(rows, pk=pk)


def _per(request: StaffRequest) -> Per:
    usual = usual_per(request.member.company.units)
    return PER.get(request.GET.get("per", usual)) or PER[usual]


def _sites(request: StaffRequest) -> dict[int | None, list[Site]]:
    sites = Site.objects.visible_to(request.user).of_company(request.member.company_id)
    used: dict[int | None, list[Site]] = {}
    for site in sites.filter(tariff__isnull=False).order_by("name"):
        used.setdefault(site.tariff_id, []).append(site)
    return used


def _texts(row: Tariff) -> list[str]:
    return [f"{price_text(row.price_per_m3, per)} {row.currency} per {per.label}" for per in PER.values()]


def _list(request: StaffRequest, sheet: Sheet, *, status: int = 200) -> HttpResponse:
    used = _sites(request)
    rows = Tariff.objects.visible_to(request.user).of_company(request.member.company_id).order_by("name")
    lines = [{"row": row, "texts": _texts(row), "sites": used.get(row.pk, [])} for row in rows]
    context = around(request, Topic.PRICE) | _pers(request) | {"sheet": sheet, "lines": lines}
    return render(request, "desk/settings_prices.html", context, status=status)


def _one(request: StaffRequest, row: Tariff, sheet: Sheet, *, status: int = 200) -> HttpResponse:
    row.refresh_from_db()
    context = around(request, Topic.PRICE, row=row.pk) | _pers(request)
    context |= {"sheet": sheet, "row": row, "texts": _texts(row), "sites": _sites(request).get(row.pk, [])}
    return render(request, "desk/settings_price.html", context, status=status)


def _pers(request: StaffRequest) -> dict[str, Any]:
    return {"per": _per(request), "pers": list(PER.values())}
