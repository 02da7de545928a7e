"""One client: what was saved, against what, what is open, and what was changed and why."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from common import clock
from common import units as convert
from desk import figures
from desk.access import StaffRequest, staff
from desk.charts.savings import savings_chart
from fleet.models import Client
from reports.selectors.savings import Savings, client_savings_by_month
from scheduling.selectors.changes import changes_for
from scheduling.selectors.week_rows import rows_of

RECENT = 30


@staff
@require_safe
def client(request: StaffRequest, pk: int) -> HttpResponse:
    """Show a client to the company's people."""
    found = get_object_or_404(Client.objects.visible_to(request.user).select_related("company"), pk=pk)
    sites = list(found.sites.select_related("watering_rule").order_by("name"))
    on = clock.today(sites[0].timezone if sites else "UTC")
    months, year = client_savings_by_month(found, on=on)
    changes = changes_for(request.user).filter(program__controller__site__client=found)
    return render(
        request,
        "desk/client.html",
        {
            "client": found,
            "sites": sites,
            "on": on,
            "people": found.accesses.select_related("user").order_by("user__email"),
            "months": months,
            "year": year,
            "running": months[-1] if months and months[-1].first == on.replace(day=1) else None,
            "chart": _chart(months, units=found.company.units),
            "timezone": sites[0].timezone if sites else "UTC",
            "to_decide": rows_of(changes.filter(status="pending").order_by("-id")[:RECENT]),
            "history": rows_of(
                changes.exclude(status__in=["pending", "superseded"]).order_by("-id")[:RECENT]
            ),
        },
    )


def _chart(months: list[Savings], *, units: str) -> dict[str, Any] | None:
    if not months:
        return None
    per, unit = (convert.L_PER_GALLON * 1000, "1,000 gal") if units == "us" else (convert.L_PER_M3, "m³")
    rows = []
    for month in months:
        amounts = {
            "applied": month.applied_l,
            "as found": month.found.baseline_l,
            "monthly percents": month.monthly.baseline_l,
        }
        rows += [
            {"month": f"{month.first:%b %Y}", "course": course, "water": round(litres / per, 3)}
            for course, litres in amounts.items()
            if litres is not None
        ]
    last = months[-1]
    description = (
        f"Water a month, applied beside both baselines, {months[0].first:%B %Y} to {last.first:%B %Y}; "
        f"in {last.first:%B} {figures.water(last.applied_l, units)} were applied."
    )
    return savings_chart(rows, unit=unit, description=description)
