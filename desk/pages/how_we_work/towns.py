"""Towns and their drought stages: switching one, what that does, and a new plan for what breaks it."""

from datetime import date, timedelta
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from common.errors import BluestemError, MovedOn, Refused
from desk import notices, posted
from desk.access import StaffRequest
from desk.apart import apart_at
from desk.blanks import Blank, Sheet
from desk.company import today_of
from desk.how_we_work import REFUSED, around, keepers
from desk.pages.how_we_work.row_pages import RowPages
from desk.plan_words import shown
from desk.rule_words import told
from desk.sheets.town import town_blanks
from fleet.models import Controller, SettingEdit, Town
from scheduling.selectors.plan import Reason
from scheduling.selectors.plan.of_controller import plan_of
from scheduling.selectors.stage_effect import by_controller, not_complying, stage_effect
from scheduling.services.adopt import adopt_plan
from scheduling.services.stage_plans import A_BATCH, adopt_plans, why_not
from scheduling.services.stages import switch_stage

A_PAGE = 8


class TownPages(RowPages[Town]):
    """Towns, each with its stage, its rules and its sites."""

    model = Town
    topic = SettingEdit.Topic.TOWN
    one, many = "town", "towns"
    added = "Write the rules of its stages, and put sites in it."

    def blanks(self, request: StaffRequest) -> list[Blank]:
        return town_blanks()

    def all_shown(self, request: StaffRequest) -> dict[str, Any]:
        on = today_of(request.member.company_id)
        lines = [
            {"row": row, "sites": len(row.sites.all()), "rules": len(row.rules.all()), **_stage_of(row, on)}
            for row in self.rows(request).prefetch_related("sites", "rules")
        ]
        return {"lines": lines}

    def one_shown(self, request: StaffRequest, row: Town, sheet: Sheet) -> dict[str, Any]:
        on = today_of(request.member.company_id)
        rules, units = list(row.rules.order_by("stage", "name")), request.member.company.units
        return {
            **_stage_of(row, on),
            "rules": [{"row": rule, "told": told(rule, units)} for rule in rules],
            "stages": sorted(
                {0, row.stage_on(on), *(rule.stage for rule in rules if rule.stage is not None)}
            ),
            "sites": list(row.sites.select_related("client").order_by("name")),
            "typed": {"stage": str(row.stage_on(on)), "from": on.isoformat()},
        }


def _stage_of(row: Town, on: date) -> dict[str, Any]:
    ahead = row.stage_from if row.stage_from and row.stage_from > on else None
    return {"now": row.stage_on(on), "ahead": ahead}


TOWNS = TownPages()
towns, town, drop_town = TOWNS.views()


@keepers
@require_POST
def stage(request: StaffRequest, pk: int) -> HttpResponse:
    """Show what a stage would do, or switch to it where that is asked for."""
    row, on = TOWNS.row(request, pk), today_of(request.member.company_id)
    typed = {"stage": request.POST.get("stage", ""), "from": request.POST.get("from", "")}
    try:
        wanted, since = _stage(typed["stage"]), _night(typed["from"], on)
        if "switch" in request.POST:
            switch_stage(town=row, by=request.user, stage=wanted, since=since, on=on)
            notices.say(request, f"{row} is under stage {wanted} from the night of {since:%d %B} on.")
            return redirect("desk:settings-town-plans", pk)
        effect = stage_effect(request.user, row, stage=wanted, since=since)
    except Refused as refused:
        typed |= {"error": refused.message, "field": refused.field}
        return TOWNS.page(request, row, Sheet(town_blanks(), row=row), typed=typed, status=REFUSED)
    breaking = by_controller(effect.then)
    sheet = Sheet(town_blanks(), row=row)
    return TOWNS.page(request, row, sheet, typed=typed, effect=effect, breaking=breaking)


@keepers
@require_safe
def plans(request: StaffRequest, pk: int) -> HttpResponse:
    """List what doesn't comply from the stage's first night on, each controller with a new plan."""
    row = TOWNS.row(request, pk)
    night = _first_night(request, row)
    waiting = not_complying(request.user, row, since=night)
    page = Paginator(waiting, A_PAGE).get_page(request.GET.get("page"))
    boxes = [controller for controller, _ in page.object_list]
    units = request.member.company.units
    apart = apart_at(boxes, night=night, units=units)
    lines = []
    for controller, breaches in page.object_list:
        planned = plan_of(controller, night=night, ways=False)
        lines.append(
            {
                "controller": controller,
                "episodes": apart[controller.pk].away,
                "breaches": breaches,
                "present": [entry.program for entry in planned.present.entries],
                "programs": planned.plan.programs,
                "why_not": _told(why_not(planned), units),
                "digest": planned.digest,
            }
        )
    context = around(request, TOWNS.topic, row=row.pk) | {
        "row": row,
        "night": night,
        "against": waiting,
        "page": page,
        "lines": lines,
    }
    return render(request, "desk/settings_town_plans.html", context)


@keepers
@require_POST
def adopt_one(request: StaffRequest, pk: int, controller_pk: int) -> HttpResponse:
    """Enter the plan that was shown for one controller."""
    row = TOWNS.row(request, pk)
    rows = Controller.objects.visible_to(request.user).filter(site__town=row)
    controller = get_object_or_404(rows.select_related("site__client", "source"), pk=controller_pk)
    try:
        adopt_plan(
            controller=controller,
            by=request.user,
            effective=_first_night(request, row),
            digest=request.POST.get("digest", "")[:64],
        )
    except BluestemError as error:
        notices.warn(request, error.message)
        if isinstance(error, MovedOn):
            return redirect("desk:settings-town-plans", pk)
    else:
        notices.say(request, f"{controller} at {controller.site} has its new plan.")
    return redirect("desk:settings-town-plans", pk)


@keepers
@require_POST
def adopt_all(request: StaffRequest, pk: int) -> HttpResponse:
    """Enter a batch of plans and tell how far it is; ``ahead`` are the controllers still to be looked at.

    The town is looked at once; each batch then looks again at the sites it touches alone.
    """
    row = TOWNS.row(request, pk)
    night = _first_night(request, row)
    ahead = posted.numbers(request.POST, "ahead") if "ahead" in request.POST else None
    among = None if ahead is None else ahead[:A_BATCH]
    waiting = {one.pk: one for one, _ in not_complying(request.user, row, since=night, among=among)}
    ahead = sorted(waiting) if ahead is None else ahead
    batch = [waiting[one] for one in ahead[:A_BATCH] if one in waiting]
    total = posted.count(request.POST, "total") or len(ahead)
    found = adopt_plans(controllers=batch, by=request.user, night=night)
    done = posted.count(request.POST, "done") + len(found.done)
    context = around(request, TOWNS.topic, row=row.pk) | {
        "row": row,
        "night": night,
        "left_as_they_are": [(one, shown(why, request.member.company.units)) for one, why in found.left],
        "done": done,
        "total": total,
        "left": len(ahead[A_BATCH:]),
        "carried": {"total": total, "done": done, "ahead": " ".join(map(str, ahead[A_BATCH:]))},
    }
    return render(request, "desk/settings_town_progress.html", context)


def _told(reason: Reason | None, units: str) -> str:
    return shown(reason, units) if reason is not None else ""


def _first_night(request: StaffRequest, row: Town) -> date:
    on = today_of(request.member.company_id)
    return max(on, row.stage_from or on)


def _stage(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) == 1):
        raise Refused("Pick one of the stages.", field="stage")
    return int(text)


def _night(text: str, on: date) -> date:
    try:
        night = date.fromisoformat(text) if len(text) == len("2026-07-06") else None
    except ValueError:
        night = None
    if night is None:
        raise Refused("Type a date such as 2026-07-06.", field="from")
    if not on <= night <= on + timedelta(days=366):
        raise Refused("The first night lies between tonight and a year from now.", field="from")
    return night
