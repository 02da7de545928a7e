"""The few queries, each for all cells and days at once, and their rows as columns."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

import numpy as np
from django.db.models import Q, QuerySet
from numpy.typing import NDArray

from weather.models import ForecastDay, MonthlyNormal, ObservedDay, Quality, WeatherCell

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# A forecast older than this is no forecast any more.
FORECAST_GOOD_DAYS: Final = 3
_WEATHER: Final = ("reference_et_mm", "rain_mm", "t_min_c", "wind_2m_m_s")


@dataclass(frozen=True, kw_only=True)
class Grid:
    """The days and cells of a window: which row a date is and which column a cell."""

    cells: Sequence[WeatherCell]
    first: date
    last: date

    @property
    def shape(self) -> tuple[int, int]:
        return (self.last - self.first).days + 1, len(self.cells)

    def columns(self, cell_ids: Sequence[int]) -> Ints:
        """Return the column of each cell id."""
        known = {cell.pk: i for i, cell in enumerate(self.cells)}
        return np.array([known[cell_id] for cell_id in cell_ids], dtype=np.int64)

    def rows(self, dates: Sequence[date]) -> Ints:
        """Return the row of each date; it may lie outside the window."""
        start = self.first.toordinal()
        return np.array([day.toordinal() - start for day in dates], dtype=np.int64)

    def months(self) -> Ints:
        """Return the month of each day, 0 to 11."""
        days = (self.first + timedelta(days=i) for i in range(self.shape[0]))
        return np.array([day.month - 1 for day in days])


@dataclass(frozen=True, kw_only=True)
class Days:
    """Daily rows as columns of equal length. ``issued`` is days since the window's first day, local date."""

    row: Ints
    column: Ints
    issued: Ints
    weather: dict[str, Floats]


def observed_days(grid: Grid, *, since: date, before: date) -> Days:
    """Read the observed days from ``since`` on, before ``before``."""
    rows = ObservedDay.objects.filter(cell__in=grid.cells, date__gte=since, date__lt=before).order_by()
    cell_ids, dates, *weather = _columns(rows.values_list("cell_id", "date", *_WEATHER), 2 + len(_WEATHER))
    return Days(
        row=grid.rows(dates),
        column=grid.columns(cell_ids),
        issued=np.zeros(len(dates), dtype=np.int64),
        weather=_named(_WEATHER, weather),
    )


def forecast_days(grid: Grid, *, on: date, known_by: datetime, lacking: Iterable[tuple[int, date]]) -> Days:
    """Read the forecasts for days from ``on`` and for the ``lacking`` (cell id, day) pairs before it.

    Later ones come last, so that writing them in order leaves the latest.
    """
    pairs = list(lacking)
    wanted = Q(date__gte=on, date__lte=grid.last, issued_at__gte=_some_days_before(on, known_by))
    if pairs:
        wanted |= Q(cell__in={cell for cell, _ in pairs}, date__in={day for _, day in pairs})
    rows = ForecastDay.objects.filter(
        wanted, cell__in=grid.cells, issued_at__lte=known_by, reference_et_mm__isnull=False
    ).order_by("issued_at")
    return _foreseen(grid, rows, _WEATHER)


def rain_forecasts(grid: Grid, *, since: date, before: date, known_by: datetime) -> Days:
    """Read past forecasts of rain, without those that were asked for after the fact; later ones last."""
    rows = (
        ForecastDay.objects.filter(
            cell__in=grid.cells, date__gte=since, date__lt=before, issued_at__lte=known_by, rain_mm__gt=0
        )
        .exclude(quality=Quality.ANALYSIS)
        .order_by("issued_at")
    )
    return _foreseen(grid, rows, ("rain_mm",))


def normal_reference_et(grid: Grid) -> Floats:
    """Read the normals, ``(12, cells)``, NaN where there is none. [mm/d]"""
    normals = np.full((12, len(grid.cells)), np.nan)
    rows = MonthlyNormal.objects.filter(cell__in=grid.cells).order_by()
    cell_ids, months, et_mm = _columns(rows.values_list("cell_id", "month", "reference_et_mm"), 3)
    normals[np.array(months, dtype=np.int64) - 1, grid.columns(cell_ids)] = et_mm
    return normals


def _foreseen(grid: Grid, rows: QuerySet[ForecastDay], names: tuple[str, ...]) -> Days:
    values = rows.values_list("cell_id", "date", "issued_at", *names)
    cell_ids, dates, issued, *weather = _columns(values, 3 + len(names))
    column = grid.columns(cell_ids)
    return Days(
        row=grid.rows(dates),
        column=column,
        issued=_local_days(grid, column, issued),
        weather=_named(names, weather),
    )


def _columns(rows: Iterable[tuple[Any, ...]], count: int) -> list[Sequence[Any]]:
    return list(zip(*rows, strict=True)) or [()] * count


def _named(names: tuple[str, ...], weather: Sequence[Sequence[float | None]]) -> dict[str, Floats]:
    return {name: np.array(values, dtype=float) for name, values in zip(names, weather, strict=True)}


def _local_days(grid: Grid, column: Ints, moments: Sequence[datetime]) -> Ints:
    zones = [ZoneInfo(cell.timezone) for cell in grid.cells]
    start = grid.first.toordinal()
    seen: dict[tuple[ZoneInfo, datetime], int] = {}
    days = []
    for j, moment in zip(column.tolist(), moments, strict=True):
        key = zones[j], moment
        if key not in seen:
            seen[key] = moment.astimezone(zones[j]).toordinal() - start
        days.append(seen[key])
    return np.array(days, dtype=np.int64)


def _some_days_before(on: date, known_by: datetime) -> datetime:
    # A day more than needed: local dates are compared exactly afterwards.
    return datetime.combine(on - timedelta(days=FORECAST_GOOD_DAYS + 2), datetime.min.time(), known_by.tzinfo)
