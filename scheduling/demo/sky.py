"""The invented weather the demo starts with: what was seen, and what was foreseen on the last mornings.

It is pulled morning by morning as the service does it, from the source and seed the nights go on with. The
morning of the demo itself is left to the night.
"""

from dataclasses import replace
from datetime import date, timedelta

from django.conf import settings

from scheduling.demo.dates import TIMEZONE, Calendar
from scheduling.demo.rows import Rows
from weather.models import ObservedDay, WeatherCell
from weather.providers.invented import Invented
from weather.services.fetch import fetch_due
from weather.services.normals import rebuild_normals
from weather.services.observed import store_observed

HISTORY_FROM_DAYS = (
    651  # two winters and the summer between them, so that a month's normals rest on two years
)
MORNINGS = 30
# Nights look for gaps from the first day they know within a fortnight; one before it is never asked for.
MISSING_DAYS_AGO = 14
MISSING_AT = "ball_fields"


def missing_day(calendar: Calendar) -> date:
    """Return the day for which one cell has nothing."""
    return calendar.ago(MISSING_DAYS_AGO)


def add_weather(rows: Rows) -> int:
    """Store history, forecasts and normals for the cells of all sites; return the number of cells."""
    cells = list({site.cell_id: site.cell for site in rows.sites.values() if site.cell}.values())
    missing = missing_day(rows.calendar)
    source = Invented(seed=settings.INVENTED_WEATHER_SEED)
    silent = replace(source, missing={(rows.sites[MISSING_AT].cell_id or 0, missing)})
    for days in range(MORNINGS, 0, -1):
        morning = rows.calendar.ago(days)
        fetch_due(
            on=morning,
            timezone=TIMEZONE,
            cells=cells,
            first=rows.calendar.ago(HISTORY_FROM_DAYS) if days == MORNINGS else None,
            source=source if morning <= missing else silent,  # it was foreseen, only never observed
        )
    _add_yesterday(cells, source=source, on=rows.calendar.on)
    rebuild_normals(cells=cells, before=rows.calendar.on)
    return len(cells)


def _add_yesterday(cells: list[WeatherCell], *, source: Invented, on: date) -> None:
    """Store the last observed day, which the morning of the demo would be the first to see."""
    yesterday = on - timedelta(days=1)
    answer = source.fetch(cells, first=yesterday, last=yesterday, on=on)
    days = [
        ObservedDay(
            cell=cell,
            date=day.date,
            t_min_c=day.t_min_c,
            t_max_c=day.t_max_c,
            vapour_pressure_kpa=day.vapour_pressure_kpa,
            wind_2m_m_s=day.wind_2m_m_s,
            solar_radiation_mj_m2=day.solar_radiation_mj_m2,
            rain_mm=day.rain_mm,
            source=answer.source,
            quality=day.quality,
        )
        for cell in cells
        for part in answer.cells[cell.pk]
        for day in part.days
    ]
    store_observed(days=days, cells=cells)
