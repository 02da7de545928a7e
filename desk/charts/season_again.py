"""Water a month of a season lived through again: decided, left at 100 percent, and by monthly percents."""

from typing import Any

import numpy as np

from common import units as convert
from desk.charts.savings import savings_chart
from scheduling.selectors.replay.living import Course, Replayed

WAYS = ("decided on what was known", "left at 100 %", "monthly percents", "the least, knowing the weather")


def season_chart(found: Replayed, *, units: str) -> dict[str, Any]:
    """Return the definition, and behind it the months as rows."""
    per, unit = (convert.L_PER_GALLON * 1000, "1,000 gal") if units == "us" else (convert.L_PER_M3, "m³")
    rows = [
        {"month": month, "course": name, "water": round(litres / per, 3)}
        for month, amounts in by_month(found)
        for name, litres in amounts.items()
    ]
    season = found.season
    description = (
        f"Water a month from {season.day(0):%B %Y} to {season.day(season.days - 1):%B %Y}: decided each "
        "morning, left at 100 percent, and by monthly percents."
    )
    return savings_chart(rows, unit=unit, description=description, courses=WAYS[:3])


def by_month(found: Replayed) -> list[tuple[str, dict[str, float]]]:
    """Return the litres of each way by month, in the order of the months."""
    season = found.season
    end = season.day(season.days - 1)
    labels = [
        f"{day:%b}" if (day.year, day.month) > (end.year - 1, end.month) else f"{day:%b %y}"
        for day in map(season.day, range(season.days))
    ]
    courses = (found.decided, found.at_100, found.monthly)
    daily = [_litres(course, season.landscape.ground.area_m2) for course in courses]
    return [
        (
            month,
            {
                name: float(litres[np.array(labels) == month].sum())
                for name, litres in zip(WAYS, daily, strict=False)
            },
        )
        for month in dict.fromkeys(labels)
    ]


def _litres(course: Course, area_m2: Any) -> Any:
    return course.lived.gross_mm @ area_m2
