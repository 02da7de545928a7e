"""A client's months as the chart of savings shows them."""

from typing import Any

from common import units as convert
from desk import figures
from desk.charts.savings import savings_chart
from reports.selectors.savings import Savings


def savings_of_client(months: list[Savings], *, units: str) -> dict[str, Any] | None:
    """Return the chart of a client's months, None without any."""
    if not months:
        return None
    per, unit = (convert.L_PER_GALLON * 1000, "1,000 gal") if units == "us" else (convert.L_PER_M3, "m³")
    rows = [row for month in months for row in _rows(month, per)]
    last = months[-1]
    description = (
        f"Water a month, applied beside both baselines, {months[0].first:%B %Y} to {last.first:%B %Y}; "
        f"in {last.first:%B} {figures.water(last.applied_l, units)} were applied."
    )
    return savings_chart(rows, unit=unit, description=description)


def _rows(month: Savings, per: float) -> list[dict[str, Any]]:
    amounts = {
        "applied": month.applied_l,
        "as found": month.found.baseline_l,
        "monthly percents": month.monthly.baseline_l,
    }
    return [
        {"month": f"{month.first:%b %Y}", "course": course, "water": round(litres / per, 3)}
        for course, litres in amounts.items()
        if litres is not None
    ]
