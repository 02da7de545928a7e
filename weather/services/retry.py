"""Trying again what failed, from its rows: with a broker or without, after a crash as after a refusal."""

from collections import defaultdict
from datetime import date

from django.db.models import Q
from django.utils import timezone

from common import clock
from weather.models import FetchDay, WeatherCell
from weather.providers.base import Source
from weather.services.fetch import fetch_due
from weather.services.reports import FetchReport


def drain(*, source: Source | None = None) -> FetchReport:
    """Fetch for every row whose next attempt has come; return all of it in one report."""
    now = timezone.now()
    rows = FetchDay.objects.filter(
        Q(next_attempt_at__lte=now), state__in=(FetchDay.State.FAILED, FetchDay.State.DUE)
    ).select_related("cell")
    groups: dict[tuple[date, str], list[WeatherCell]] = defaultdict(list)
    for row in rows:
        groups[row.date, row.cell.timezone].append(row.cell)
    total = FetchReport(on=clock.today("UTC"))
    for (on, zone), cells in sorted(groups.items()):
        total.add(fetch_due(on=on, timezone=zone, cells=cells, source=source))
    return total
