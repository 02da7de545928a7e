"""What was done at a site and why, on one line of time: on a page, on paper, as a table to keep."""

from collections.abc import Iterator
from datetime import date
from itertools import groupby
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from common import clock
from desk.access import PersonRequest, signed_in
from desk.history_choice import Choice, choice_of, parts_of
from desk.history_words import Line, Reading, line
from desk.spreadsheets import as_csv
from fleet.models import Site
from scheduling.selectors.decision_notes import decision_notes
from scheduling.selectors.site_history import Entry, site_history, sorts_for

A_PAGE, A_FILE_PAGE = 60, 500
HEADS = ("Date", "Kind", "Program or zone", "What", "Why", "By")


@signed_in
@require_safe
def history(request: PersonRequest, pk: int) -> HttpResponse:
    """Show a page of a site's history to those who may read the site."""
    site, staff = _site(request, pk)
    choice, context = _chosen(request, site, staff=staff)
    entries = _entries(request, site, choice, after=choice.after, most=A_PAGE + 1)
    lines = _lines(entries[:A_PAGE], site, staff=staff)
    context |= {
        "days": [(day, list(of_day)) for day, of_day in groupby(lines, key=lambda one: one.day)],
        "older": choice.address(after=entries[A_PAGE - 1].mark) if len(entries) > A_PAGE else "",
        "newest": choice.address() if choice.after else None,
        "file": choice.address(),
    }
    return render(request, "desk/history.html", context)


@signed_in
@require_safe
def history_file(request: PersonRequest, pk: int) -> HttpResponse:
    """Return the whole of it, filtered alike, as CSV."""
    site, staff = _site(request, pk)
    choice, _ = _chosen(request, site, staff=staff)
    rows = (
        (one.day.isoformat(), one.label, one.about, one.what, one.why, one.who)
        for one in _all(request, site, choice, staff=staff)
    )
    return as_csv(HEADS, rows, name=f"history-{site.pk}.csv")


def _site(request: PersonRequest, pk: int) -> tuple[Site, bool]:
    sites = Site.objects.visible_to(request.user).select_related("client__company")
    site = get_object_or_404(sites, pk=pk)
    return site, bool(request.user.role_in(site.client.company_id))


def _chosen(request: PersonRequest, site: Site, *, staff: bool) -> tuple[Choice, dict[str, Any]]:
    sorts, parts = sorts_for(staff=staff), parts_of(site)
    choice = choice_of(request.GET, sorts=sorts, parts=parts)
    return choice, {
        "site": site,
        "staff": staff,
        "units": site.client.company.units,
        "sorts": sorts,
        "parts": parts,
        "choice": choice,
        "written": choice.written,
        "chosen": choice.address(),
    }


def _entries(request: PersonRequest, site: Site, choice: Choice, *, after: str, most: int) -> list[Entry]:
    on: date = clock.today(site.timezone)
    if choice.errors:
        return []
    return site_history(request.user, site, choice.wanted, on=on, after=after, most=most)


def _all(request: PersonRequest, site: Site, choice: Choice, *, staff: bool) -> Iterator[Line]:
    after = ""
    while entries := _entries(request, site, choice, after=after, most=A_FILE_PAGE):
        yield from _lines(entries, site, staff=staff)
        after = entries[-1].mark


def _lines(entries: list[Entry], site: Site, *, staff: bool) -> list[Line]:
    changes = [entry.row.pk for entry in entries if entry.sort.key == "decisions"]
    reading = Reading(
        units=site.client.company.units,
        timezone=site.timezone,
        staff=staff,
        notes=decision_notes(changes) if staff else {},
    )
    return [line(entry, reading) for entry in entries]
