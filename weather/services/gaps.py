"""Which days a cell lacks: how far back to ask, and what is still missing afterwards."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import Final

from django.db.models import Max

from common import clock
from weather.models import ForecastDay, ObservedDay, WeatherCell
from weather.providers.base import Problem
from weather.services.observed import AIR_KNOWN

# A closed day's analysis still settles for some nights, so these are read again every night.
READ_AGAIN_DAYS: Final = 3
LOOK_BACK_DAYS: Final = 14
NEW_CELL_DAYS: Final = 30
FARTHEST_BACK_DAYS: Final = 92


def first_days(*, cells: Sequence[WeatherCell], on: date) -> dict[int, date]:
    """Return for each cell the earliest day to ask for on the morning of ``on``."""
    look_back = on - timedelta(days=LOOK_BACK_DAYS)
    known = _known_dates(cells, look_back, on)
    without = [cell.pk for cell in cells if cell.pk not in known]
    last_known: dict[int, date | None] = dict(
        ObservedDay.objects.filter(AIR_KNOWN, cell__in=without, date__lt=on)
        .values_list("cell_id")
        .annotate(last=Max("date"))
    )
    firsts = {}
    for cell in cells:
        if cell.pk in known:
            firsts[cell.pk] = _first_gap(known[cell.pk], on)
        elif last := last_known.get(cell.pk):
            firsts[cell.pk] = max(last + timedelta(days=1), on - timedelta(days=FARTHEST_BACK_DAYS))
        else:
            firsts[cell.pk] = on - timedelta(days=NEW_CELL_DAYS)
    return firsts


def still_missing(
    *, cells: Sequence[WeatherCell], since: date, on: date, problems: Iterable[Problem]
) -> list[Problem]:
    """Return a problem for each cell that lacks one of the last days, or any forecast, and has none yet."""
    troubled = {problem.cell_id for problem in problems}
    rest = [cell for cell in cells if cell.pk not in troubled]
    first = max(since, on - timedelta(days=READ_AGAIN_DAYS))
    wanted = clock.days(first, on - timedelta(days=1))
    known = _known_dates(rest, first, on)
    foreseen = set(
        ForecastDay.objects.filter(cell__in=rest, date__gte=on).values_list("cell_id", flat=True).distinct()
    )
    found = []
    for cell in rest:
        if lacking := [day for day in wanted if day not in known.get(cell.pk, ())]:
            message = f"No usable weather for {', '.join(map(str, lacking))} yet."
            found.append(Problem(cell_id=cell.pk, code="day_missing", message=message))
        elif cell.pk not in foreseen:
            message = "The weather source gave no forecast."
            found.append(Problem(cell_id=cell.pk, code="no_forecast", message=message))
    return found


def _known_dates(cells: Sequence[WeatherCell], first: date, on: date) -> dict[int, set[date]]:
    known: dict[int, set[date]] = defaultdict(set)
    rows = ObservedDay.objects.filter(AIR_KNOWN, cell__in=cells, date__gte=first, date__lt=on)
    for cell_id, day in rows.values_list("cell_id", "date"):
        known[cell_id].add(day)
    return known


def _first_gap(known: set[date], on: date) -> date:
    usual = on - timedelta(days=READ_AGAIN_DAYS)
    return next((day for day in clock.days(min(known), usual) if day not in known), usual)
