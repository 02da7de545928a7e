"""The first page: the morning sheet for those who work here, their own sites for clients."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from common import clock
from desk.access import PersonRequest, StaffRequest, signed_in
from desk.company import timezone_of, working_membership
from desk.masthead import counted
from desk.pages.own_sites import own_sites
from fleet.selectors.episodes import away_in, ended_last_night
from fleet.selectors.letters import letters_open
from reports.selectors.fleet import company_totals
from reports.selectors.use_alerts import alerts_open
from scheduling.selectors.advice_list import advice_waiting
from scheduling.selectors.client_notes import notes_waiting
from scheduling.selectors.morning import morning

NOTES = 6


@signed_in
@require_safe
def home(request: PersonRequest) -> HttpResponse:
    """Show the page that is this person's to start the day with."""
    member = working_membership(request)
    if member is None:
        return own_sites(request)
    request.member = member  # type: ignore[attr-defined]
    return morning_sheet(request)  # type: ignore[arg-type]


def morning_sheet(request: StaffRequest) -> HttpResponse:
    """Show what needs somebody today, what the night did and what comes."""
    company_id = request.member.company_id
    timezone = timezone_of(company_id)
    on = clock.today(timezone)
    sheet = morning(request.user, company_id, on=on, timezone=timezone)
    counted(request, pending=sheet.totals.changes)
    saved = company_totals(request.user, company_id, first=on.replace(day=1))
    context = {
        "sheet": sheet,
        "on": on,
        "timezone": timezone,
        "saved": saved,
        "advice": advice_waiting(request.user, company_id),
        "use_alerts": alerts_open(request.user, company_id),
        "letters_open": letters_open(request.user, company_id),
        "notes": notes_waiting(request.user, company_id, most=NOTES),
        "away": away_in(company_id, on=on),
        "ended": ended_last_night(request.user, company_id, on=on),
    }
    return render(request, "desk/morning.html", context)
