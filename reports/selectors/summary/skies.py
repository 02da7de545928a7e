"""A month's weather at each place of some clients, beside what is usual there."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from fleet.models import Site
from weather.models import MonthlyNormal, ObservedDay

Sky = dict[str, Any]


def skies_of(sites: Sequence[Site], *, first: date, last: date) -> dict[int, Sky]:
    """Return rain and reference ET of a month by weather cell, in two queries.

    Returns
    -------
    dict
        By cell: ``days`` observed, ``rain_mm``, ``et0_mm`` over those days, ``usual_rain_mm`` of the whole
        month and ``usual_et0_mm`` over as many days as were observed (None where no normals are stored),
        ``next_et_share``: usual reference ET of a day next month over this month's; ``by_day``.
    """
    cells = {site.cell_id for site in sites if site.cell_id is not None}
    by_day: dict[int, list[Sky]] = {cell: [] for cell in cells}
    rows = ObservedDay.objects.filter(cell__in=cells, date__gte=first, date__lte=last).order_by("date")
    for cell, day, rain, et in rows.values_list("cell", "date", "rain_mm", "reference_et_mm"):
        by_day[cell].append({"date": day.isoformat(), "rain_mm": rain, "et0_mm": et})
    following = first.month % 12 + 1
    normals = {
        (cell, month): (et, rain)
        for cell, month, et, rain in MonthlyNormal.objects.filter(
            cell__in=cells, month__in=(first.month, following)
        ).values_list("cell", "month", "reference_et_mm", "rain_mm")
    }
    skies = {}
    for cell in cells:
        days = len(by_day[cell])
        rain, et = _sum(by_day[cell], "rain_mm"), _sum(by_day[cell], "et0_mm")
        usual_et, usual_rain = normals.get((cell, first.month), (None, None))
        coming, _ = normals.get((cell, following), (None, None))
        skies[cell] = {
            "days": days,
            "rain_mm": rain,
            "et0_mm": et,
            "usual_rain_mm": usual_rain,
            "usual_et0_mm": usual_et * days if usual_et is not None and days else None,
            "next_et_share": coming / usual_et if coming is not None and usual_et else None,
            "by_day": by_day[cell],
        }
    return skies


def _sum(days: Sequence[Sky], name: str) -> float | None:
    known = [day[name] for day in days if day[name] is not None]
    return float(sum(known)) if known else None
