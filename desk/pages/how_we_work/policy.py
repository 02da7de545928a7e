"""What the service may decide by itself, with what that would do to the changes that wait."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from desk import notices
from desk.access import StaffRequest
from desk.blanks import Sheet
from desk.company import today_of
from desk.how_we_work import REFUSED, around, keepers, save
from desk.sheets.policy import policy_blanks
from fleet.models import Policy, SettingEdit
from fleet.selectors.policies import PolicyInForce
from fleet.services.policies import policy_row
from scheduling.selectors.by_policy import Waiting
from scheduling.selectors.night_sky import night_sky, sites_past

ORDER = "The greatest percent can't be smaller than the least."


@keepers
@require_http_methods(["GET", "HEAD", "POST"])
def policy(request: StaffRequest) -> HttpResponse:
    """Show the policy, or save it."""
    row = _row(request)
    if request.method != "POST":
        return _page(request, _sheet(request, row))
    row = policy_row(by=request.user, company_id=request.member.company_id)
    sheet = _sheet(request, row)
    status = save(request, sheet, row, topic=SettingEdit.Topic.POLICY) if _read(sheet) else REFUSED
    return redirect("desk:settings-policy") if status == 200 else _page(request, sheet, status=status)


@keepers
@require_POST
def policy_effect(request: StaffRequest) -> HttpResponse:
    """Show what the typed values would do, saving nothing."""
    sheet = _sheet(request, _row(request))
    fine = _read(sheet)
    if request.htmx:
        return render(request, "desk/_policy_effect.html", _effect(request, sheet))
    if fine:
        notices.warn(request, "This is the effect of what you typed. Nothing is saved yet.")
    return _page(request, sheet, status=200 if fine else REFUSED)


def _row(request: StaffRequest) -> Policy:
    company_id = request.member.company_id
    rows = Policy.objects.visible_to(request.user).of_company(company_id).filter(client=None)
    return rows.first() or Policy(company_id=company_id)


def _sheet(request: StaffRequest, row: Policy) -> Sheet:
    posted = request.POST if request.method == "POST" else None
    return Sheet(policy_blanks(request.member.company.units), row=row, posted=posted)


def _read(sheet: Sheet) -> bool:
    fine = sheet.read()
    typed = _typed(sheet)
    if fine and typed.percent_min > typed.percent_max:
        sheet.errors["percent_max"] = ORDER
    return not sheet.errors


def _typed(sheet: Sheet) -> PolicyInForce:
    """Return the policy the form describes; where a blank can't be read, what is saved."""
    held = PolicyInForce().overridden_by(sheet.row)
    return held.overridden_by(Policy(**{n: v for n, v in sheet.values.items() if n not in sheet.errors}))


def _effect(request: StaffRequest, sheet: Sheet) -> dict[str, Any]:
    company_id = request.member.company_id
    waiting = Waiting(request.user, company_id)
    skies = night_sky(request.user, company_id, on=today_of(company_id))
    saved, typed = PolicyInForce().overridden_by(sheet.row), _typed(sheet)
    cold, windy = sites_past(skies, typed, waiting.own)
    return {
        "now": waiting.under(saved),
        "then": waiting.under(typed.in_order()),
        "typed": typed,
        "differs": typed != saved,
        "cold": cold,
        "windy": windy,
        "sites": len(skies),
        "unread": [one.blank.label for one in sheet if one.error],
        "own": list(waiting.own.values()),
    }


def _page(request: StaffRequest, sheet: Sheet, *, status: int = 200) -> HttpResponse:
    context = around(request, SettingEdit.Topic.POLICY) | _effect(request, sheet) | {"sheet": sheet}
    return render(request, "desk/settings_policy.html", context, status=status)
