"""The clients' water to take away: the months, clients and order on the screen, all pages of it."""

from collections.abc import Iterator

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from desk.access import StaffRequest, staff
from desk.client_water import read_choice, span_words
from desk.company import today_of
from desk.pages.clients_water import lines_chosen
from desk.spreadsheets import Cell, as_file, file_name, percent_cell, water_cell
from reports.selectors.by_client.rows import Line


@staff
@require_safe
def clients_water_file(request: StaffRequest, kind: str) -> HttpResponse:
    """Send the list as it was chosen and sorted."""
    company = request.member.company
    on = today_of(company.pk)
    choice = read_choice(request.GET, on=on)
    rows = _cells(lines_chosen(request, choice), units=company.units)
    head = _head(span_words(choice.months), units=company.units)
    name = file_name("water-by-client", company.name, on, kind)
    return as_file(kind, head, rows, name=name, title="Water by client")


def _head(span: str, *, units: str) -> list[str]:
    unit = "gal" if units == "us" else "m³"
    return [
        "Client",
        "Sites",
        f"Saved in {span}, estimated ({unit})",
        "Saved of the settings found, estimated (%)",
        f"Used, estimated ({unit})",
        f"Water budget of the days counted ({unit})",
        "Used of budget, estimated (%)",
        f"Saved, measured by bills that ended then ({unit})",
        f"Measured saving uncertain by ({unit})",
        "Measured saving detected",
        f"Used, metered ({unit})",
        "Days metered (%)",
        "With indoor use",
        "Used of budget, metered, on days that compare (%)",
        f"Metered less applied on days that compare ({unit})",
        "Days that compare",
        "Need met (%)",
        "Open alerts about use",
        f"Water of open alerts ({unit})",
    ]


def _cells(lines: list[Line], *, units: str) -> Iterator[list[Cell]]:
    for line in lines:
        one, measured = line.water, line.water.measured
        yield [
            line.client.name,
            line.client.site_count,
            water_cell(one.saved_l, units),
            percent_cell(one.share),
            water_cell(one.applied_l, units),
            water_cell(one.budget_l, units),
            percent_cell(one.of_budget),
            water_cell(measured.saved_l if measured else None, units),
            water_cell(measured.told_uncertainty_l if measured else None, units),
            _yes(measured.detected) if measured else None,
            water_cell(one.metered_l, units),
            percent_cell(one.metered_share) if one.metered_l is not None else None,
            _yes(one.mixed) if one.metered_l is not None else None,
            percent_cell(one.metered_of_budget),
            water_cell(one.unexplained_l, units),
            one.compared_days,
            percent_cell(one.adequacy),
            one.alerts,
            water_cell(one.alerts_l, units) if one.alerts else None,
        ]


def _yes(value: bool) -> str:
    return "yes" if value else "no"
