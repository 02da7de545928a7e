"""Fetching for every cell there is, zone by zone: what the commands run."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, timedelta
from typing import Final

from common import clock
from weather.models import WeatherCell
from weather.services.fetch import fetch_due
from weather.services.reports import FetchReport

ANEW_DAYS: Final = 30


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


def fetch_anew(*, cells: Iterable[WeatherCell], days: int = ANEW_DAYS) -> FetchReport:
    """Ask again for the last days of a few cells and let what comes replace what is stored."""
    total = FetchReport(on=clock.today("UTC"))
    by_zone: dict[str, list[WeatherCell]] = defaultdict(list)
    for cell in cells:
        by_zone[cell.timezone].append(cell)
    for zone, group in sorted(by_zone.items()):
        on = clock.today(zone)
        first = on - timedelta(days=days)
        total.add(fetch_due(on=on, timezone=zone, cells=group, first=first, again=True, anew=True))
    return total


def _timezones() -> list[str]:
    return list(WeatherCell.objects.order_by("timezone").values_list("timezone", flat=True).distinct())
