"""How we work: what is set, in a line each."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from desk.access import StaffRequest
from desk.how_we_work import around, keepers
from fleet.models import Membership, Policy, SettingEdit, Tariff, Town, WateringRule
from fleet.selectors.policies import PolicyInForce


@keepers
@require_safe
def front(request: StaffRequest) -> HttpResponse:
    """Show every part of the settings with what it says now."""
    user, company_id = request.user, request.member.company_id
    row = Policy.objects.visible_to(user).of_company(company_id).filter(client=None).first()
    context = around(request, SettingEdit.Topic.COMPANY) | {
        "policy": PolicyInForce().overridden_by(row),
        "people": Membership.objects.visible_to(user).of_company(company_id).count(),
        "prices": Tariff.objects.visible_to(user).of_company(company_id).count(),
        "towns": Town.objects.visible_to(user).of_company(company_id).count(),
        "rules": WateringRule.objects.visible_to(user).of_company(company_id).count(),
    }
    return render(request, "desk/settings.html", context)
