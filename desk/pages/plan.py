"""The plan of a controller: each number with its reason, what is typed over it tried at once, and adopted."""

from datetime import date
from typing import Any
from urllib.parse import urlencode

from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpResponse
from django.http.request import QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from common import clock
from common.errors import BluestemError, MovedOn, NotAllowed, Refused
from desk import notices
from desk.access import StaffRequest, staff
from desk.apart import apart_at
from desk.cautions import CONTROLLER
from desk.dates import long_date
from desk.plan_typed import boxes, night_in, overrides_in, typed
from desk.plan_words import (
    away_words,
    night_drawing,
    night_lines,
    night_words,
    shown,
    stop_lines,
    usual_words,
    way_lines,
    zone_lines,
)
from desk.start_typed import starts_line
from fleet.models import Controller
from fleet.selectors.people import may_set_up
from scheduling.selectors.plan import Overrides, ZonePlan
from scheduling.selectors.plan.of_controller import Planned, plan_of
from scheduling.services.adopt import adopt_plan

CONFLICT, REFUSED = 409, 422
GET_OR_POST = ["GET", "HEAD", "POST"]


@staff
@require_safe
def plan(request: StaffRequest, pk: int) -> HttpResponse:
    """Show the plan, with what was typed over it."""
    context = _read(request, pk, request.GET)
    page = "desk/_plan.html" if request.htmx else "desk/plan.html"
    return render(request, page, context, status=REFUSED if context["error"] else 200)


@staff
@require_http_methods(GET_OR_POST)
def plan_adopt(request: StaffRequest, pk: int) -> HttpResponse:
    """Ask, and then make the plan the controller's programs."""
    if request.method != "POST":
        context = _read(request, pk, request.GET)
        _allowed(request, context["controller"])
        if context["error"]:
            return render(request, "desk/plan.html", context, status=REFUSED)
        return render(request, "desk/plan_adopt.html", context)
    controller = _found(request, pk)
    _allowed(request, controller)
    try:
        night, overrides = _asked(controller, typed(request.POST))
        adopt_plan(
            controller=controller,
            by=request.user,
            effective=night,
            digest=request.POST.get("digest", "")[:64],
            overrides=overrides,
        )
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except ValidationError as error:
        return _again(request, pk, " ".join(error.messages), status=REFUSED)
    except BluestemError as error:
        status = CONFLICT if isinstance(error, MovedOn) else REFUSED
        return _again(request, pk, error.message, status=status)
    units = controller.site.client.company.units
    notices.say(
        request,
        f"{controller}: the plan holds from the night of {long_date(night, units)} on. Enter it there too.",
    )
    return redirect("desk:site", controller.site_id)


def _again(request: StaffRequest, pk: int, message: str, *, status: int) -> HttpResponse:
    context = _read(request, pk, request.POST)
    context["error"] = context["error"] or message
    return render(request, "desk/plan_adopt.html", context, status=status)


def _read(request: StaffRequest, pk: int, form: QueryDict) -> dict[str, Any]:
    controller, fields = _found(request, pk), typed(form)
    tonight = clock.today(controller.site.timezone)
    error: Refused | None = None
    try:
        night, overrides = _asked(controller, fields)
        planned = plan_of(controller, night=night, overrides=overrides)
    except Refused as refused:
        error, night, overrides = refused, tonight, Overrides()
        planned = plan_of(controller, night=night)
    context = _context(request, controller, planned, night)
    for line in context["zones"]:
        line["apart"] = context["apart"].of_zone.get(line["plan"].zone.pk, [])
        line["boxes"] = boxes(
            fields, "zone", line["plan"].zone.pk, _of_zone(line["plan"]), wrong=error.field if error else ""
        )
    for line in context["programs"]:
        said = {"days": line["plan"].days, "starts": starts_line(line["plan"].starts, context["units"])}
        line["boxes"] = boxes(
            fields, "program", line["plan"].letter, said, wrong=error.field if error else ""
        )
    return context | {
        "typed": fields,
        "back": urlencode(fields),
        "overruled": bool(overrides),
        "error": error.message if error else "",
        "wrong": error.field if error else "",
    }


def _context(request: StaffRequest, controller: Controller, planned: Planned, night: date) -> dict[str, Any]:
    found, units = planned.plan, controller.site.client.company.units
    apart = apart_at([controller], night=night, units=units)[controller.pk]
    return {
        "apart": apart,
        "episodes": apart.away,
        "held_back": apart.held,
        "controller": controller,
        "units": units,
        "plan": found,
        "correction": planned.correction,
        "usual_words": usual_words(planned.usual, units),
        "digest": planned.digest,
        "present": planned.present.entries,
        "night": night,
        "cautions": CONTROLLER,
        "peak": date(2001, found.peak_month, 1) if found.peak_month else None,
        "zones": zone_lines(found, units),
        "programs": [
            {
                "plan": one,
                "why": {name: shown(reason, units) for name, reason in one.reasons.items()},
                "starts_at": one.month_percents[night.month - 1],
            }
            for one in found.programs
        ],
        "stops": stop_lines(found, units),
        "ways": way_lines(found, units),
        "drawing": night_drawing(found, units),
        "openings": night_lines(found, units, apart.of_zone),
        "night_words": night_words(controller, found.night, units) + away_words(apart.away, found.night)
        if found.night and found.night.events
        else "",
        "may_adopt": may_set_up(request.user, controller.site.client.company_id),
    }


def _of_zone(one: ZonePlan) -> dict[str, str]:
    """Return what is planned for a zone, as it would be typed."""
    return {
        "program": one.letter,
        "minutes": f"{one.minutes:g}",
        "cycle": f"{one.cycle_min:g}" if one.cycle_min else "–",
        "soak": f"{one.soak_min:g}" if one.soak_min else "–",
    }


def _asked(controller: Controller, fields: dict[str, str]) -> tuple[date, Overrides]:
    night = night_in(fields, tonight=clock.today(controller.site.timezone))
    return night, overrides_in(fields, controller.zones.all())


def _found(request: StaffRequest, pk: int) -> Controller:
    controllers = Controller.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(
        controllers.select_related("site__client__company", "site__watering_rule", "source"), pk=pk
    )


def _allowed(request: StaffRequest, controller: Controller) -> None:
    if not may_set_up(request.user, controller.site.client.company_id):
        raise PermissionDenied
