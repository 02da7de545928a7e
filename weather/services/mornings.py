"""Fetching for every cell there is, zone by zone: what the commands run."""

from datetime import date, timedelta

from common import clock
from weather.models import WeatherCell
from weather.services.fetch import fetch_due
from weather.services.reports import FetchReport


def fetch_everywhere(*, on: date | None = None) -> list[FetchReport]:
    """Fetch the morning of ``on``, or of each time zone's business day, for all cells."""
    return [fetch_due(on=on or clock.today(zone), timezone=zone) for zone in _timezones()]


def backfill(*, days: int, on: date | None = None) -> list[FetchReport]:
    """Fetch the ``days`` days before the business day for all cells, even if the morning is done."""
    reports = []
    for zone in _timezones():
        morning = on or clock.today(zone)
        first = morning - timedelta(days=days)
        reports.append(fetch_due(on=morning, timezone=zone, first=first, again=True))
    return reports


def _timezones() -> list[str]:
    return list(WeatherCell.objects.order_by("timezone").values_list("timezone", flat=True).distinct())
