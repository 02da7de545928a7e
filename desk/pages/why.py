"""Why one change was proposed: its computation with its numbers, charts, assumptions and history."""

from datetime import date
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from common import clock
from desk.access import StaffRequest, staff
from desk.apart import apart_at
from desk.attribution import credit
from desk.deciding import Answer
from desk.why_charts import curve_of, depletion_of
from desk.why_words import ET_METHODS, labels_of, lead, then_and_now, worse_words, wrong_words
from scheduling.models import Change
from scheduling.selectors.altered_card import altered_cards
from scheduling.selectors.week_rows import rows_of
from scheduling.selectors.why import Seen, change_with_inputs, history, read_inputs
from scheduling.selectors.why_sum import account, what_if
from scheduling.selectors.why_wrong import if_wrong
from scheduling.selectors.why_zone import ZoneSeen
from scheduling.services.recompute import recompute_change

OPEN = (Change.Status.PENDING, Change.Status.APPROVED)


@staff
@require_safe
def why(request: StaffRequest, pk: int) -> HttpResponse:
    """Show the page of one change."""
    return why_page(request, pk)


def why_page(
    request: StaffRequest, pk: int, *, answer: Answer | None = None, status: int = 200
) -> HttpResponse:
    """Show the page; ``answer`` is told beside the buttons."""
    changes = change_with_inputs(request.user, request.member.company_id)
    change = get_object_or_404(changes, pk=pk)
    seen = read_inputs(change.inputs or {})
    company = change.program.controller.site.client.company
    zone = seen.zone(_wanted_zone(request))
    controller = change.program.controller
    on = clock.today(controller.site.timezone)
    apart = apart_at([controller], night=on, units=company.units)[controller.pk]
    context: dict[str, Any] = {
        "change": change,
        "row": rows_of(changes.filter(pk=pk).defer("inputs"))[0],
        "answers": {pk: answer} if answer else {},
        "site": controller.site,
        "controller": controller,
        "units": company.units,
        "events": history(change),
        "episodes": apart.away,
        "held_back": apart.held,
        "seen": seen,
        "weather": seen.stored.get("weather") or {},
        "credit": credit(str((seen.stored.get("weather") or {}).get("source", ""))),
        "method": ET_METHODS.get(str((seen.stored.get("weather") or {}).get("et_method", "")), ""),
    }
    if change.is_alteration:
        context["card"] = altered_cards([change])[change.pk]
    if zone is not None:
        context |= _about_zone(change, seen, zone, units=company.units)
        context |= {"now": _now(change, seen, units=company.units)}
    return render(request, "desk/why.html", context, status=status)


def _about_zone(change: Change, seen: Seen, zone: ZoneSeen, *, units: str) -> dict[str, Any]:
    fate = seen.fate(zone)
    step = change.program.controller.percent_step
    what_ifs = what_if(seen, zone, percent=change.proposed, step=step) if change.is_percent else []
    return {
        "zone": zone,
        "labels": labels_of(zone),
        "lead": lead(change, seen, fate),
        "account": account(seen, zone) if change.is_percent else None,
        "worse": [(what.field, worse_words(what)) for what in what_ifs],
        "wrong": [] if change.is_alteration else [(wrong_words(one), one) for one in if_wrong(seen, zone)],
        "table": [
            {"day": day, "keep": keep, "change": then}
            for day, keep, then in zip(seen.days, fate.keep, fate.change, strict=False)
        ],
        "depletion": depletion_of(change, seen, fate, units=units),
        "curve": curve_of(change, seen),
        "held_mm": seen.margin * zone.raw_mm,
    }


def _now(change: Change, seen: Seen, *, units: str) -> dict[str, Any] | None:
    """Return today's computation beside the stored one, where it can still matter and a day has passed."""
    today = clock.today(change.program.controller.site.timezone)
    if change.is_wish:  # asked for by a client: no morning proposes it
        return None
    if change.status not in OPEN or seen.on is None or not _can_be_recomputed(change, seen.on, today):
        return None
    stored = recompute_change(change, on=today)
    lines = then_and_now(seen, read_inputs(stored), units=units) if stored else []
    return {"on": today, "lines": lines, "nothing": stored is None}


def _can_be_recomputed(change: Change, then: date, today: date) -> bool:
    return then <= today and change.program.controller.site.cell_id is not None


def _wanted_zone(request: StaffRequest) -> int | None:
    text = request.GET.get("zone", "")
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 19 else None
