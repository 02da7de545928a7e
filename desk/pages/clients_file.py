"""The clients list to take away: what is on the screen, all pages of it."""

from collections.abc import Iterator
from datetime import date

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from desk.access import StaffRequest, staff
from desk.client_list import read_choice
from desk.company import today_of
from desk.spreadsheets import Cell, as_file, file_name, percent_cell, water_cell
from reports.selectors.client_list import ClientRow, clients_listed, every_row


@staff
@require_safe
def clients_file(request: StaffRequest, kind: str) -> HttpResponse:
    """Send the list as it was searched, narrowed and sorted."""
    company = request.member.company
    on = today_of(company.pk)
    listed = clients_listed(request.user, company.pk, read_choice(request.GET), on=on)
    rows = _cells(every_row(listed, on=on), units=company.units)
    name = file_name("clients", company.name, on, kind)
    head = _head(on, units=company.units)
    return as_file(kind, head, rows, name=name, title="Clients")


def _head(on: date, *, units: str) -> list[str]:
    unit = "gal" if units == "us" else "m³"
    return [
        "Client",
        "Sites",
        f"Saved in {on:%B %Y}, estimated ({unit})",
        f"Saved in {on:%Y} to date, estimated ({unit})",
        f"Saved in {on:%Y} to date, of the settings found (%)",
        f"Used in {on:%Y} to date, estimated ({unit})",
        f"Need met in {on:%Y} to date (%)",
        "Changes to decide",
        "of them with plants at risk",
        "Changes to enter",
        "Open findings",
        "Last visit",
        "Next visit",
        "Access open from",
    ]


def _cells(rows: Iterator[ClientRow], *, units: str) -> Iterator[list[Cell]]:
    for row in rows:
        yield [
            row.client.name,
            row.client.site_count,
            water_cell(row.month.saved_l, units),
            water_cell(row.year.saved_l, units),
            percent_cell(row.year.share),
            water_cell(row.year.applied_l, units),
            percent_cell(row.year.adequacy),
            row.waiting.decide,
            row.waiting.risk,
            row.waiting.enter,
            row.waiting.findings,
            row.last_visit,
            row.next_visit,
            row.client.access_from,
        ]
