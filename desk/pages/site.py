"""One site: weather, zones with their soil water, programs, and for staff what is decided there."""

from datetime import date, timedelta
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from common import clock
from desk import dates, figures
from desk.access import PersonRequest, signed_in
from desk.attribution import credit
from desk.charts.weather import weather_chart
from desk.cut_words import held_lines
from desk.rule_words import told_at
from fleet.models import ClientNote, Finding, Site, Visit
from fleet.selectors.episodes import episodes_at
from fleet.selectors.people import may_manage
from fleet.selectors.photos import photos_at
from reports.selectors.savings import site_savings
from scheduling.models import Program, Skip
from scheduling.selectors.advice_list import advice_rows
from scheduling.selectors.changes import changes_for
from scheduling.selectors.client_notes import notes_for, told
from scheduling.selectors.coming_week import coming_week
from scheduling.selectors.cuts import by_plants
from scheduling.selectors.last_call import night_starts
from scheduling.selectors.site_state import DayState, ProgramState, SiteState, site_state
from scheduling.selectors.week_rows import rows_of

NIGHTS = 7
RECENT = 12
ROUNDS = 5
NOTES = 5
AHEAD = 14


@signed_in
@require_safe
def site(request: PersonRequest, pk: int) -> HttpResponse:
    """Show a site to those who work for it, or read-only to its client."""
    sites = Site.objects.visible_to(request.user).select_related(
        "client__company", "watering_rule", "town", "tariff", "cell"
    )
    found = get_object_or_404(sites, pk=pk)
    on = clock.today(found.timezone)
    company = found.client.company
    state = site_state(found, on=on)
    context: dict[str, Any] = {
        "site": found,
        "on": on,
        "state": state,
        "units": company.units,
        "staff": bool(request.user.role_in(company.pk)),
        "credit": credit(state.source),
        "sky": _sky(state.days, units=company.units),
        "rule": told_at(found, on, company.units),
        "held_back": held_lines(by_plants(z.cut for z in state.zones if z.cut is not None)),
        "nights": [on + timedelta(days=n) for n in range(NIGHTS)],
        "week": _week(found, state.programs, on=on),
        "overrun": _overrun(state),
        "savings": site_savings(found, state.season, on=on) if state.season else None,
        "episodes": episodes_at([found.pk], on=on, ahead=AHEAD).get(found.pk, []),
    }
    if context["staff"]:
        context |= _for_staff(request, found, on=on)
    else:
        context |= {"own_week": coming_week([found])[found.pk], "companies": [company]}
        context["notes_waiting"] = found.client_notes.filter(status=ClientNote.Status.WAITING).count()
    return render(request, "desk/site.html", context)


def _for_staff(request: PersonRequest, found: Site, *, on: date) -> dict[str, Any]:
    changes = changes_for(request.user).filter(program__controller__site=found).order_by("-id")[:RECENT]
    return {
        "rows": rows_of(changes),
        "visits": Visit.objects.filter(site=found, date__gte=on, done_at=None)[:5],
        "findings": Finding.objects.filter(
            zone__controller__site=found, status=Finding.Status.OPEN
        ).select_related("zone"),
        "photos": photos_at(request.user, found),
        "may_manage": may_manage(request.user, found.client.company_id),
        "advice": advice_rows(request.user, found.client.company_id).filter(
            controller__site=found, dismissed_at=None
        ),
        "controllers": found.controllers.select_related("source"),
        "notes": told(notes_for(request.user).filter(site=found)[:NOTES]),
        "rounds": list(found.rounds.select_related("controller")[:ROUNDS]),
    }


def _sky(days: list[DayState], *, units: str) -> dict[str, Any] | None:
    """Return the chart of a site's weather."""
    if not days:
        return None
    digits = 3 if units == "us" else 1

    def in_units(mm: float | None) -> float | None:
        return None if mm is None else round(figures.depth_value(mm, units), digits)

    rows = [
        {
            "day": dates.day(day.date, units).replace(dates.NBSP, " "),
            "et": in_units(day.et0_mm),
            "rain": in_units(day.rain_counted_mm),
            "kind": day.kind,
            "foreseen": day.kind != "observed",
        }
        for day in days
    ]
    rain = sum(day.rain_counted_mm or 0.0 for day in days if day.kind == "observed")
    ahead = sum(day.rain_counted_mm or 0.0 for day in days if day.kind != "observed")
    description = (
        f"Reference ET and rain, {dates.day(days[0].date, units)} to {dates.day(days[-1].date, units)}: "
        f"{figures.depth(rain, units)} of rain so far, {figures.depth(ahead, units)} foreseen."
    )
    return weather_chart(rows, unit=figures.depth_unit(units), description=description)


def _week(found: Site, programs: list[ProgramState], *, on: date) -> list[dict[str, Any]]:
    """Return for each program whether it waters in each of the coming nights."""
    skips: dict[int, list[tuple[date, date]]] = {}
    controllers = dict(found.controllers.values_list("pk", "name"))
    rows = Skip.objects.filter(
        program__controller__site=found, effective_to__gte=on, effective_from__lt=on + timedelta(days=NIGHTS)
    )
    for pk, first, last in rows.values_list("program_id", "effective_from", "effective_to"):
        skips.setdefault(pk, []).append((first, last))
    return [
        {
            "state": state,
            "controller": controllers[state.program.controller_id],
            "nights": [
                _night(found, state.program, skips.get(state.program.pk, []), night=on + timedelta(days=n))
                for n in range(NIGHTS)
            ],
        }
        for state in programs
    ]


def _night(found: Site, program: Program, skips: list[tuple[date, date]], *, night: date) -> str:
    if found.season == Site.Season.CLOSED or not night_starts(program, night=night):
        return ""
    return "skips" if any(first <= night <= last for first, last in skips) else "waters"


def _overrun(state: SiteState) -> list[ProgramState]:
    return [program for program in state.programs if program.waters_tonight and not program.fits]
