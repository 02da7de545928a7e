"""The field sheet: what to enter at each controller, and what was seen there; made for a phone."""

from collections.abc import Callable
from dataclasses import dataclass

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from common.errors import BluestemError, MovedOn, NotAllowed
from desk import notices, posted
from desk.access import StaffRequest, staff
from desk.company import today_of
from desk.field_words import noted_words
from desk.figures import depth_unit
from desk.photos import AGAIN, any_sent, asked
from fleet.services.facts import PROBED, TRIMS
from fleet.services.findings import PARTS
from scheduling.selectors.changes import changes_for
from scheduling.selectors.field_entries import just_entered
from scheduling.selectors.field_sheet import field_sheet
from scheduling.services.field_notes import Noted
from scheduling.services.ticking import enter_change

FORMS = ("changes", "zones", "findings", "sites")


@dataclass(frozen=True)
class Kept:
    """A form that wasn't taken: why, and what was typed into it."""

    message: str
    typed: QueryDict
    photos: str = ""  # what is told of photos that came with it


@dataclass(frozen=True)
class Form:
    """Which form on the sheet was sent, for what, and at which site."""

    name: str
    row: int
    about: str
    site: int


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
    site = change.program.controller.site

    def take() -> Noted:
        found = posted.percent(request.POST.get("found", ""))
        return enter_change(change=change, by=request.user, found_percent=found)

    return taken(request, take, Form("changes", pk, f"{site}, {change.program}", site.pk))


def taken(request: StaffRequest, take: Callable[[], Noted], form: Form) -> HttpResponse:
    """Store what a form said and go back to its site, or show the sheet again with what was typed."""
    try:
        noted = take()
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except BluestemError as error:
        notices.warn(request, f"{form.about}: {error.message}")
        kept = {form.name: {form.row: Kept(error.message, request.POST, AGAIN if any_sent(request) else "")}}
        return _sheet(request, status=409 if isinstance(error, MovedOn) else 422, kept=kept)
    words = noted_words(noted, units=request.member.company.units)
    notices.say(request, words, entry=noted.entry.pk if noted.entry else None)
    return redirect(f"{reverse('desk:field')}#site-{form.site}")


def _sheet(
    request: StaffRequest, *, status: int = 200, kept: dict[str, dict[int, Kept]] | None = None
) -> HttpResponse:
    company = request.member.company
    on = today_of(company.pk)
    context = {
        "entries": field_sheet(request.user, company.pk, on=on),
        "just_entered": just_entered(request.user, company.pk),
        "on": on,
        "probed": [(key, words) for key, (words, _) in PROBED.items()],
        "trims": [(key, words) for key, (words, _) in TRIMS.items()],
        "parts": PARTS,
        "kept": {form: {} for form in FORMS} | (kept or {}),
        "depth_unit": depth_unit(company.units),
        "asked": asked(),
        "water_unit": "gal" if company.units == "us" else "L",
    }
    return render(request, "desk/field.html", context, status=status)
