"""The field sheet: what to enter at each controller, and what was seen there; made for a phone."""

from datetime import date

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from common import clock
from common.errors import BluestemError, NotAllowed
from desk import notices, posted
from desk.access import StaffRequest, staff
from desk.company import today_of
from fleet.models import Zone
from fleet.services.facts import PROBED, TRIMS, note_soil, trim_zone
from scheduling.selectors.changes import changes_for
from scheduling.selectors.field_sheet import field_sheet
from scheduling.services.entering import apply


@staff
@require_safe
def field(request: StaffRequest) -> HttpResponse:
    """Show what is to be entered, today's visits first."""
    return _sheet(request)


@staff
@require_POST
def enter(request: StaffRequest, pk: int) -> HttpResponse:
    """Record that a change was entered, with the percent the controller was found at."""
    changes = changes_for(request.user).of_company(request.member.company_id)
    change = get_object_or_404(changes, pk=pk)
    try:
        found = posted.percent(request.POST.get("found", ""))
        apply(change=change, by=request.user, found_percent=found)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except BluestemError as error:
        notices.warn(request, f"{change.program.controller.site}, {change.program}: {error.message}")
        return _sheet(request, status=409 if hasattr(error, "current_status") else 422)
    notices.say(request, f"{change.program.controller.site}, {change.program}: entered.")
    return redirect(f"{reverse('desk:field')}#site-{change.program.controller.site_id}")


@staff
@require_POST
def note_zone(request: StaffRequest, pk: int) -> HttpResponse:
    """Store what the probe said about a zone, or a lasting correction of what it needs."""
    zones = Zone.objects.visible_to(request.user).of_company(request.member.company_id)
    zone = get_object_or_404(zones.select_related("controller__site__client"), pk=pk)
    on = clock.today(zone.controller.site.timezone)
    try:
        said = _noted(request, zone, on=on)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except BluestemError as error:
        notices.warn(request, f"Zone {zone}: {error.message}")
        return _sheet(request, status=422)
    notices.say(request, f"Zone {zone}: {said}. It counts from tomorrow's decision on.")
    return redirect(f"{reverse('desk:field')}#site-{zone.controller.site_id}")


def _noted(request: StaffRequest, zone: Zone, *, on: date) -> str:
    post = request.POST
    if "probed" in post:
        return note_soil(zone=zone, by=request.user, on=on, probed=post["probed"]).how
    row = trim_zone(
        zone=zone,
        by=request.user,
        on=on,
        trim=post.get("trim", ""),
        reason=post.get("reason", "").replace("\0", ""),
    )
    return f"{TRIMS[post['trim']][0]} from today on, {row.reason}"


def _sheet(request: StaffRequest, *, status: int = 200) -> HttpResponse:
    on = today_of(request.member.company_id)
    context = {
        "entries": field_sheet(request.user, request.member.company_id, on=on),
        "on": on,
        "probed": [(key, words) for key, (words, _) in PROBED.items()],
        "trims": [(key, words) for key, (words, _) in TRIMS.items()],
        "reason": request.POST.get("reason", ""),
    }
    return render(request, "desk/field.html", context, status=status)
