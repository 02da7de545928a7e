"""What water costs: each price, where it holds, and changing it."""

from typing import Any

from desk.access import StaffRequest
from desk.blanks import Blank, Sheet
from desk.pages.how_we_work.row_pages import RowPages
from desk.sheets.price import PER, Per, price_blanks, price_text, usual_per
from fleet.models import Company, SettingEdit, Site, Tariff


class PricePages(RowPages[Tariff]):
    """Prices of water, typed per what the bill names."""

    model = Tariff
    topic = SettingEdit.Topic.PRICE
    one, many = "price", "prices"
    added = "Give it to a site to count money with it."

    def blanks(self, request: StaffRequest) -> list[Blank]:
        return price_blanks(_per(request))

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
        return _pers(request) | {"texts": _texts(row), "sites": _sites(request).get(row.pk, [])}


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
