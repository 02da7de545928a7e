"""The two charts of a summary, from the definitions the pages use: its months, and the month's days."""

from datetime import date
from typing import Any

from common import units as convert
from desk import dates, figures
from desk.charts.savings import savings_chart
from desk.charts.weather import weather_chart

COURSES = ("applied", "as found")


def months_chart(kept: dict[str, Any]) -> dict[str, Any]:
    """Return the chart of what was applied each month beside what settings as found would have used."""
    us = kept["units"] == "us"
    per, unit = (convert.L_PER_GALLON * 1000, "1,000 gal") if us else (convert.L_PER_M3, "m³")
    rows = [
        {"month": _month(month["month"]), "course": course, "water": round(litres / per, 3)}
        for month in kept["months"]
        for course, litres in zip(COURSES, (month["applied_l"], month["baseline_l"]), strict=True)
        if litres is not None
    ]
    last = kept["months"][-1]
    description = (
        f"Water a month, applied beside settings as found, {_month(kept['months'][0]['month'])} to "
        f"{_month(last['month'])}: in the last {figures.water(last['applied_l'], kept['units'])} applied, "
        f"{figures.water(last['baseline_l'], kept['units'])} as found."
    )
    return savings_chart(rows, unit=unit, description=description, courses=COURSES)


def days_chart(kept: dict[str, Any]) -> dict[str, Any] | None:
    """Return the chart of the month's rain and reference ET at the first place; None without weather."""
    sky = next((sky for sky in kept["weather"] if sky["by_day"]), None)
    if sky is None:
        return None
    units = kept["units"]
    digits = 3 if units == "us" else 1
    rows = [
        {
            "day": dates.long_date(date.fromisoformat(day["date"]), units).replace(dates.NBSP, " "),
            "et": _depth(day["et0_mm"], units, digits),
            "rain": _depth(day["rain_mm"], units, digits),
            "kind": "observed",
            "foreseen": False,
        }
        for day in sky["by_day"]
    ]
    description = (
        f"Rain and reference ET by day at {sky['site']}: "
        f"{figures.depth(sky['rain_mm'], units)} of rain in all, "
        f"{figures.depth(sky['et0_mm'], units)} of reference ET."
    )
    return weather_chart(rows, unit=figures.depth_unit(units), description=description)


def _depth(mm: float | None, units: str, digits: int) -> float | None:
    return None if mm is None else round(figures.depth_value(mm, units), digits)


def _month(text: str) -> str:
    return f"{date.fromisoformat(f'{text}-01'):%b %Y}"
