"""Forecasts as they were issued, morning by morning, for living through a stretch again."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from weather.models import ForecastDay, WeatherCell
from weather.season.rows import FORECAST_GOOD_DAYS, Floats


def issued_forecasts(
    cell: WeatherCell, *, first: date, mornings: int, days: int, timezone: str
) -> tuple[Floats, Floats]:
    """Return reference ET and rain foretold by the noon of each morning, (mornings, days). [mm]

    NaN where no forecast young enough had been issued for a day; a morning's own day is its first.
    """
    et, rain = np.full((mornings, days), np.nan), np.full((mornings, days), np.nan)
    zone = ZoneInfo(timezone)
    begin = datetime.combine(first, datetime.min.time(), tzinfo=zone) - timedelta(days=FORECAST_GOOD_DAYS)
    end = first + timedelta(days=mornings)
    rows = (
        ForecastDay.objects.filter(cell=cell, issued_at__gte=begin, date__gte=first)
        .filter(date__lt=end + timedelta(days=days), reference_et_mm__isnull=False)
        .exclude(quality="analysis")
        .order_by("issued_at")
        .values_list("issued_at", "date", "reference_et_mm", "rain_mm")
    )
    for issued_at, day, et_mm, rain_mm in rows.iterator():
        local = issued_at.astimezone(zone)
        known = local.date() if local.hour < 12 else local.date() + timedelta(days=1)
        for morning in range(max((known - first).days, 0), (known - first).days + FORECAST_GOOD_DAYS):
            lead = (day - first).days - morning
            if 0 <= morning < mornings and 0 <= lead < days:
                et[morning, lead], rain[morning, lead] = et_mm, rain_mm or 0.0
    return et, rain
