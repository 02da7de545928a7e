"""When towns and sources let sites be watered: each rule, where it holds, and what changing it would do."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from common.errors import Refused
from desk import notices
from desk.access import StaffRequest
from desk.blanks import Sheet
from desk.company import today_of
from desk.how_we_work import REFUSED, around, keepers, save
from desk.rule_words import told
from desk.sheets.rule import rule_blanks
from fleet.models import SettingEdit, Site, Town, WateringRule
from fleet.selectors.site_rule import at_stage
from fleet.services.edits import add_row, drop_row
from scheduling.selectors.rule_effect import coming_nights

Topic = SettingEdit.Topic


@keepers
@require_http_methods(["GET", "HEAD", "POST"])
def rules(request: StaffRequest) -> HttpResponse:
    """List the rules, or add one."""
    company = request.member.company
    if request.method != "POST":
        return _list(request, Sheet(rule_blanks(_towns(request)), row=WateringRule(company=company)))
    sheet = Sheet(rule_blanks(_towns(request)), row=WateringRule(company=company), posted=request.POST)
    if sheet.read():
        try:
            row = add_row(
                row=WateringRule(company=company, **sheet.values), by=request.user, company_id=company.pk
            )
        except Refused as refused:
            sheet.refuse(refused)
        else:
            notices.say(request, f"{row.name} is there now. It holds where a site is put under it.")
            return redirect("desk:settings-rules")
    return _list(request, sheet, status=REFUSED)


@keepers
@require_http_methods(["GET", "HEAD", "POST"])
def rule(request: StaffRequest, pk: int) -> HttpResponse:
    """Show one rule with what it does now, or change it."""
    row = _row(request, pk)
    if request.method != "POST":
        return _one(request, row, Sheet(rule_blanks(_towns(request)), row=row))
    sheet = Sheet(rule_blanks(_towns(request)), row=row, posted=request.POST)
    status = save(request, sheet, row, topic=Topic.RULE) if sheet.read() else REFUSED
    return redirect("desk:settings-rule", pk) if status == 200 else _one(request, row, sheet, status=status)


@keepers
@require_POST
def rule_effect(request: StaffRequest, pk: int) -> HttpResponse:
    """Show what the typed rule would do, saving nothing."""
    row = _row(request, pk)
    sheet = Sheet(rule_blanks(_towns(request)), row=row, posted=request.POST)
    if not sheet.read():
        return _one(request, row, sheet, status=REFUSED)
    notices.warn(request, "This is the effect of what you typed. Nothing is saved yet.")
    return _one(request, row, sheet)


@keepers
@require_POST
def drop_rule(request: StaffRequest, pk: int) -> HttpResponse:
    """Delete a rule no site is under."""
    row = _row(request, pk)
    try:
        drop_row(row=row, by=request.user, company_id=request.member.company_id)
    except Refused as refused:
        notices.warn(request, refused.message)
        return _one(request, row, Sheet(rule_blanks(_towns(request)), row=row), status=REFUSED)
    notices.say(request, f"{row.name} was deleted.")
    return redirect("desk:settings-rules")


def _row(request: StaffRequest, pk: int) -> WateringRule:
    rows = WateringRule.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(rows, pk=pk)


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


def _list(request: StaffRequest, sheet: Sheet, *, status: int = 200) -> HttpResponse:
    under = _sites(request)
    rows = WateringRule.objects.visible_to(request.user).of_company(request.member.company_id)
    units = request.member.company.units
    lines = [
        {"row": row, "sites": under.get(row.pk, []), "told": told(row, units)}
        for row in rows.select_related("town").order_by("name")
    ]
    context = around(request, Topic.RULE) | {"sheet": sheet, "lines": lines}
    return render(request, "desk/settings_rules.html", context, status=status)


def _one(request: StaffRequest, row: WateringRule, sheet: Sheet, *, status: int = 200) -> HttpResponse:
    row.refresh_from_db()
    nights = coming_nights(request.user, row, on=today_of(request.member.company_id))
    typed = WateringRule(**sheet.values) if sheet.values and not sheet.errors else None
    context = around(request, Topic.RULE, row=row.pk) | {
        "sheet": sheet,
        "row": row,
        "told": told(row, request.member.company.units),
        "sites": _sites(request).get(row.pk, []),
        "nights": nights,
        "now": nights.against(row),
        "then": nights.against(typed) if typed is not None else None,
    }
    return render(request, "desk/settings_rule.html", context, status=status)
