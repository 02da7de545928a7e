"""The field sheet: what to enter at each controller, and what was seen there; made for a phone."""

from dataclasses import dataclass
from datetime import date

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from common import clock
from common.errors import BluestemError, MovedOn, NotAllowed
from desk import notices, posted
from desk.access import StaffRequest, staff
from desk.company import today_of
from desk.figures import depth_unit
from fleet.models import Zone
from fleet.services.facts import PROBED, TRIMS, note_soil, trim_zone
from scheduling.selectors.changes import changes_for
from scheduling.selectors.field_sheet import field_sheet
from scheduling.services.entering import apply

FORMS = ("changes", "zones", "sites")


@dataclass(frozen=True)
class Kept:
    """A form that wasn't taken: why, and what was typed into it."""

    message: str
    typed: QueryDict


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
        return refused(request, error, f"{change.program.controller.site}, {change.program}", changes=pk)
    words = f"{change.program.controller.site}, {change.program}: entered."
    return noted(request, words, site=change.program.controller.site_id)


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
        return refused(request, error, f"Zone {zone}", zones=pk)
    words = f"Zone {zone}: {said}. It counts from tomorrow's decision on."
    return noted(request, words, site=zone.controller.site_id)


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


def noted(request: StaffRequest, words: str, *, site: int) -> HttpResponse:
    """Say what was stored and go back to its site on the sheet."""
    notices.say(request, words)
    return redirect(f"{reverse('desk:field')}#site-{site}")


def refused(request: StaffRequest, error: BluestemError, about: str, **where: int) -> HttpResponse:
    """Show the sheet again with what was typed and why it wasn't taken; ``where`` names the form."""
    notices.warn(request, f"{about}: {error.message}")
    kept = {place: {pk: Kept(error.message, request.POST)} for place, pk in where.items()}
    return _sheet(request, status=409 if isinstance(error, MovedOn) else 422, **kept)


def _sheet(request: StaffRequest, *, status: int = 200, **kept: dict[int, Kept]) -> HttpResponse:
    on = today_of(request.member.company_id)
    context = {
        "entries": field_sheet(request.user, request.member.company_id, on=on),
        "on": on,
        "probed": [(key, words) for key, (words, _) in PROBED.items()],
        "trims": [(key, words) for key, (words, _) in TRIMS.items()],
        "kept": {form: {} for form in FORMS} | kept,
        "depth_unit": depth_unit(request.member.company.units),
    }
    return render(request, "desk/field.html", context, status=status)
