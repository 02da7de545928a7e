"""When towns and sources let sites be watered: each rule, where it holds, and what changing it would do."""

from typing import Any

from django.http import HttpResponse
from django.views.decorators.http import require_POST

from desk import notices
from desk.access import StaffRequest
from desk.blanks import Blank, Sheet
from desk.company import today_of
from desk.how_we_work import REFUSED, keepers
from desk.pages.how_we_work.row_pages import RowPages
from desk.rule_words import told
from desk.sheets.rule import rule_blanks
from fleet.models import SettingEdit, Site, Town, WateringRule
from fleet.selectors.site_rule import at_stage
from scheduling.selectors.rule_effect import coming_nights


class RulePages(RowPages[WateringRule]):
    """Watering rules, each with what it does to the coming nights."""

    model = WateringRule
    topic = SettingEdit.Topic.RULE
    one, many = "rule", "rules"
    added = "It holds where a site is put under it."

    def blanks(self, request: StaffRequest) -> list[Blank]:
        return rule_blanks(_towns(request))

    def all_shown(self, request: StaffRequest) -> dict[str, Any]:
        under, units = _sites(request), request.member.company.units
        lines = [
            {"row": row, "sites": under.get(row.pk, []), "told": told(row, units)}
            for row in self.rows(request).select_related("town").order_by("name")
        ]
        return {"lines": lines}

    def one_shown(self, request: StaffRequest, row: WateringRule, sheet: Sheet) -> dict[str, Any]:
        nights = coming_nights(request.user, row, on=today_of(request.member.company_id))
        typed = WateringRule(**sheet.values) if sheet.values and not sheet.errors else None
        return {
            "told": told(row, request.member.company.units),
            "sites": _sites(request).get(row.pk, []),
            "nights": nights,
            "now": nights.against(row),
            "then": nights.against(typed) if typed is not None else None,
        }


RULES = RulePages()
rules, rule, drop_rule = RULES.views()


@keepers
@require_POST
def rule_effect(request: StaffRequest, pk: int) -> HttpResponse:
    """Show what the typed rule would do, saving nothing."""
    row = RULES.row(request, pk)
    sheet = Sheet(RULES.blanks(request), row=row, posted=request.POST)
    if not sheet.read():
        return RULES.page(request, row, sheet, status=REFUSED)
    notices.warn(request, "This is the effect of what you typed. Nothing is saved yet.")
    return RULES.page(request, row, sheet)


def _towns(request: StaffRequest) -> list[Town]:
    return list(Town.objects.visible_to(request.user).of_company(request.member.company_id))


def _sites(request: StaffRequest) -> dict[int | None, list[Site]]:
    """Return the sites each rule holds at: its own, or those of its town whenever its stage is in force."""
    sites = Site.objects.visible_to(request.user).of_company(request.member.company_id)
    under: dict[int | None, list[Site]] = {}
    on = today_of(request.member.company_id)
    for site in sites.select_related("town").prefetch_related("town__rules").order_by("name"):
        if site.town is None:
            under.setdefault(site.watering_rule_id, []).append(site)
            continue
        for stage in {rule.stage for rule in site.town.rules.all()}:
            if stage is not None and (rule := at_stage(site, stage, on)) is not None:
                under.setdefault(rule.pk, []).append(site)
    return under
