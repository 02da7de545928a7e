"""The week sheet: every change of the week on one page, to decide on by keyboard, pointer or thumb."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db.models import Q
from django.http import HttpResponse, QueryDict
from django.shortcuts import render
from django.views.decorators.http import require_safe

from common import clock
from desk.access import StaffRequest, staff
from desk.company import timezone_of
from desk.deciding import Answer
from desk.masthead import counted
from fleet.selectors.people import DECIDE
from scheduling.selectors import week as selected
from scheduling.selectors.week import VIEWS, Choice, decided_lately, week_counts, week_totals
from scheduling.selectors.week_order import SORTS

LABELS = {
    "needs": "Needs a decision",
    "up": "Up",
    "down": "Down",
    "skips": "Skips",
    "programs": "Programs",
    "visit": "Needs a visit",
    "risk": "At risk",
    "enter": "To enter",
    "decided": "Decided this week",
}
SORT_LABELS = {"client": "client", "water": "most water", "risk": "most at risk"}
NOTHING = {
    "needs": "Nothing waits for you. The next night may bring changes.",
    "up": "No program needs more water.",
    "down": "No program can do with less water.",
    "skips": "No skip is proposed.",
    "programs": "No change of minutes, days or programs is proposed.",
    "visit": "No change waits for a visit.",
    "risk": "No plants are at risk if everything is kept.",
    "enter": "Every approved change has been entered.",
    "decided": "Nothing was decided in the last seven days.",
}


@dataclass(frozen=True)
class Sheet:
    """What the sheet is read for: whose, on which day, and which part of it."""

    choice: Choice
    lately: Q
    timezone: str


@staff
@require_safe
def week(request: StaffRequest) -> HttpResponse:
    """Show the sheet."""
    return week_page(request)


def week_page(request: StaffRequest, *, answers: Sequence[Answer] = (), status: int = 200) -> HttpResponse:
    """Show the sheet; ``answers`` are told in the lines they belong to."""
    return render(request, "desk/week.html", week_context(request, answers=answers), status=status)


def week_context(request: StaffRequest, *, answers: Sequence[Answer] = ()) -> dict[str, Any]:
    """Return what the sheet and its parts show."""
    sheet = sheet_of(request, also=[answer.change.pk for answer in answers])
    user, company_id = request.user, request.member.company_id
    on = clock.today(sheet.timezone)
    groups, page = selected.week_page(
        user, company_id, sheet.choice, on=on, lately=sheet.lately, number=request.GET.get("page")
    )
    return around(request, sheet) | {
        "groups": groups,
        "page": page,
        "pages_query": without_page(request.GET),
        "shown": sum(len(site.rows) for group in groups for site in group.sites),
        "answers": {answer.change.pk: answer for answer in answers},
        "nothing": NOTHING[sheet.choice.view],
        "monday": on - timedelta(days=on.weekday()),
    }


def around(request: StaffRequest, sheet: Sheet) -> dict[str, Any]:
    """Return what stands around the lines: totals, views with their counts, orders."""
    user, company_id = request.user, request.member.company_id
    counts = week_counts(user, company_id, lately=sheet.lately)
    counted(request, pending=counts["needs"])
    return {
        "choice": sheet.choice,
        "query": request.GET.urlencode(),
        "totals": week_totals(user, company_id, lately=sheet.lately),
        "views": [
            {"key": view, "label": LABELS[view], "count": counts[view], "url": _link(request, view=view)}
            for view in VIEWS
        ],
        "sorts": [
            {"key": sort, "label": SORT_LABELS[sort], "url": _link(request, sort=sort)} for sort in SORTS
        ],
    }


def sheet_of(request: StaffRequest, *, also: Sequence[int] = ()) -> Sheet:
    """Read the chosen part of the sheet from the address; what isn't known counts as not chosen."""
    timezone = timezone_of(request.member.company_id)
    usual = "needs" if request.member.role in DECIDE else "enter"
    view, sort = request.GET.get("view", ""), request.GET.get("sort", "")
    return Sheet(
        choice=Choice(
            view=view if view in VIEWS else usual,
            sort=sort if sort in SORTS else "client",
            words=request.GET.get("words", "").replace("\0", "").strip()[:120],
            also=tuple(also),
        ),
        lately=decided_lately(clock.today(timezone), timezone, days=7),
        timezone=timezone,
    )


def without_page(asked: QueryDict) -> str:
    """Return what an address asks for besides its page, to be followed by another page."""
    query = asked.copy()
    query.pop("page", None)
    return query.urlencode()


def _link(request: StaffRequest, **part: str) -> str:
    query = request.GET.copy()
    query.pop("page", None)
    for name, value in part.items():
        query[name] = value
    return f"?{query.urlencode()}"
