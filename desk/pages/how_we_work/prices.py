"""What water costs: each price, where it holds, and changing it."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_POST

from desk import notices
from desk.access import StaffRequest
from desk.bill_example import examples
from desk.blanks import Blank, Sheet
from desk.how_we_work import REFUSED, keepers
from desk.pages.how_we_work.row_pages import RowPages
from desk.sheets.bill import bill_blanks
from desk.sheets.price import PER, Per, price_blanks, price_text, usual_per
from fleet.models import Company, SettingEdit, Site, Tariff


class PricePages(RowPages[Tariff]):
    """Prices of water, typed per what the bill names."""

    model = Tariff
    topic = SettingEdit.Topic.PRICE
    one, many = "price", "prices"
    added = "Give it to a site to count money with it."

    def blanks(self, request: StaffRequest) -> list[Blank]:
        price = price_blanks(_per(request))
        return [*price, *bill_blanks()] if _is_there(request) else price

    def fresh(self, company: Company) -> Tariff:
        return Tariff(company=company, currency=company.currency)

    def query(self, request: StaffRequest) -> str:
        return f"?per={_per(request).key}"

    def all_shown(self, request: StaffRequest) -> dict[str, Any]:
        used = _sites(request)
        lines = [
            {"row": row, "texts": _texts(row), "sites": used.get(row.pk, [])}
            for row in self.rows(request).order_by("name")
        ]
        return _pers(request) | {"lines": lines}

    def one_shown(self, request: StaffRequest, row: Tariff, sheet: Sheet) -> dict[str, Any]:
        return (
            _pers(request)
            | _example(row, sheet)
            | {
                "texts": _texts(row),
                "sites": _sites(request).get(row.pk, []),
                "effect_at": reverse("desk:settings-price-example", args=[row.pk]) + self.query(request),
            }
        )

    def example(self, request: StaffRequest, pk: int) -> HttpResponse:
        """Show what the typed tariff comes to, saving nothing."""
        row = self.row(request, pk)
        sheet = Sheet(self.blanks(request), row=row, posted=request.POST)
        fine = sheet.read()
        if request.htmx:
            return render(request, "desk/_bill_example.html", _example(row, sheet))
        if fine:
            notices.warn(request, "The examples are of what you typed. Nothing is saved yet.")
        return self.page(request, row, sheet, status=200 if fine else REFUSED)


def _is_there(request: StaffRequest) -> bool:
    return request.resolver_match is not None and "pk" in request.resolver_match.kwargs


def _example(row: Tariff, sheet: Sheet) -> dict[str, Any]:
    unread = [one.blank.label for one in sheet if one.error]
    return {"examples": examples(row, typed=sheet.values), "unread": unread}


def _per(request: StaffRequest) -> Per:
    usual = usual_per(request.member.company.units)
    return PER.get(request.GET.get("per", usual)) or PER[usual]


def _pers(request: StaffRequest) -> dict[str, Any]:
    return {"per": _per(request), "pers": list(PER.values())}


def _sites(request: StaffRequest) -> dict[int | None, list[Site]]:
    sites = Site.objects.visible_to(request.user).of_company(request.member.company_id)
    used: dict[int | None, list[Site]] = {}
    for site in sites.filter(tariff__isnull=False).order_by("name"):
        used.setdefault(site.tariff_id, []).append(site)
    return used


def _texts(row: Tariff) -> list[str]:
    return [f"{price_text(row.price_per_m3, per)} {row.currency} per {per.label}" for per in PER.values()]


PRICES = PricePages()
prices, price, drop_price = PRICES.views()
price_example = keepers(require_POST(PRICES.example))
