"""Under which town or rule a site is, and the house number odd and even addresses are told by."""

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from common.errors import Refused
from desk import notices
from desk.access import StaffRequest
from desk.blanks import Sheet, Stale
from desk.company import today_of
from desk.how_we_work import CONFLICT, REFUSED, keepers
from desk.rule_words import told_at
from desk.sheets.town import site_rule_blanks
from fleet.models import Site, Town, WateringRule
from fleet.numerics.addresses import house_number
from fleet.services.sites import edit_site

KEYS = {"town_id": ("town", Town), "watering_rule_id": ("watering_rule", WateringRule)}


@keepers
@require_http_methods(["GET", "HEAD", "POST"])
def site_rule(request: StaffRequest, pk: int) -> HttpResponse:
    """Show under which rule a site is, or change it."""
    company_id = request.member.company_id
    sites = Site.objects.visible_to(request.user).of_company(company_id)
    row = get_object_or_404(sites.select_related("client__company", "town", "watering_rule"), pk=pk)
    rules = WateringRule.objects.visible_to(request.user).of_company(company_id).filter(town=None)
    blanks = site_rule_blanks(
        list(rules.order_by("name")), list(Town.objects.visible_to(request.user).of_company(company_id))
    )
    sheet = Sheet(blanks, row=row, posted=request.POST if request.method == "POST" else None)
    status = 200
    if request.method == "POST":
        status = _save(request, sheet, row) if sheet.read() else REFUSED
        if status == 200:
            notices.say(request, "Saved.")
            return redirect("desk:site", pk)
    context = {
        "site": row,
        "sheet": sheet,
        "told": told_at(row, today_of(company_id), row.client.company.units),
        "read": house_number(row.address),
    }
    return render(request, "desk/site_rule.html", context, status=status)


def _save(request: StaffRequest, sheet: Sheet, row: Site) -> int:
    try:
        values = sheet.decide(Site.objects.get(pk=row.pk))
        for key, (name, model) in KEYS.items():
            if key in values:
                number = values.pop(key)
                rows = model.objects.of_company(request.member.company_id)
                values[name] = rows.filter(pk=number).first() if number is not None else None
        edit_site(site=row, by=request.user, **values)
    except Stale as stale:
        row.refresh_from_db()
        sheet.errors[""] = stale.message
        sheet.stale |= dict.fromkeys(stale.fields, "Somebody")
        return CONFLICT
    except Refused as refused:
        sheet.refuse(refused)
        return REFUSED
    except ValidationError as error:
        sheet.errors[""] = error.messages[0]
        return REFUSED
    return 200
