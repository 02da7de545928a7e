"""Reference ET of daily rows: screen what came, compute from what is believed, and say how."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from weather.models import ForecastDay, MonthlyNormal, ObservedDay, WeatherCell
from weather.numerics.quality import Weather, flag_names, screen_reference_et, screen_weather
from weather.numerics.reference_et import METHODS, NONE, daily_reference_et

INPUTS: Final = Weather._fields
# How a value from hours is told, beside the methods of a day. The form is ASCE-EWRI's.
HOURLY: Final = "hourly asce-ewri"
CHUNK: Final = 2000

Row = TypeVar("Row", ObservedDay, ForecastDay)
Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Key = tuple[int, date]


def compute_reference_et(
    *,
    rows: Sequence[ObservedDay] | Sequence[ForecastDay],
    cells: Iterable[WeatherCell],
    et_before: Mapping[Key, float] | None = None,
    by_hours: Mapping[Key, float] | None = None,
) -> None:
    """Set reference ET, its method and the flags on ``rows``, and take out what can't be right; save nothing.

    ``et_before`` holds stored reference ET by (cell, date), to notice jumps. ``by_hours`` is reference ET of
    days whose hours are known: it is taken where nothing of the day was missing or taken out.
    """
    if not rows:
        return
    by_id = {cell.pk: cell for cell in cells}
    place = {
        "latitude_deg": np.array([by_id[row.cell_id].latitude for row in rows]),
        "day_of_year": np.array([float(row.date.timetuple().tm_yday) for row in rows]),
    }
    elevation_m = np.array([by_id[row.cell_id].elevation_m for row in rows])
    given = {name: _column(rows, name) for name in INPUTS}
    weather, flags = screen_weather(**given, **place, elevation_m=elevation_m)
    et_mm, method = daily_reference_et(
        **{name: values for name, values in weather._asdict().items() if name != "rain_mm"},
        **place,
        elevation_m=elevation_m,
    )
    hourly = _by_hours(rows, by_hours or {}, whole=method == 0)
    et_mm = np.where(np.isnan(hourly), et_mm, hourly)
    et_mm, odd = screen_reference_et(
        et_mm=et_mm,
        **place,
        normal_mm=_normals(rows),
        day_before_mm=_day_before(rows, et_mm, et_before or {}),
        source_mm=_column(rows, "provider_et_mm"),
    )
    for i, row in enumerate(rows):
        row.reference_et_mm = _known(round(float(et_mm[i]), 3))
        row.et_method = METHODS[method[i] if row.reference_et_mm is not None else NONE]
        if row.reference_et_mm is not None and not np.isnan(hourly[i]):
            row.et_method = HOURLY
        found = flag_names(int(flags[i] | odd[i]))
        row.flags = [*row.flags, *(name for name in found if name not in row.flags)]
        for name in INPUTS:
            setattr(row, name, _known(float(getattr(weather, name)[i])))


def fill_reference_et(*, cells: Sequence[WeatherCell]) -> int:
    """Compute reference ET of the stored days of ``cells`` that have temperatures but none yet; count them.

    Rows may come from elsewhere (a station, an import), with temperatures alone.
    """
    return _fill(ObservedDay, cells) + _fill(ForecastDay, cells)


def _fill(model: type[Row], cells: Sequence[WeatherCell]) -> int:
    lacking = {"reference_et_mm": None, "t_min_c__isnull": False, "t_max_c__isnull": False}
    rows = list(model.objects.filter(cell__in=cells, **lacking))
    before = {row.pk: row.flags for row in rows}
    compute_reference_et(rows=rows, cells=cells)
    news = [row for row in rows if row.reference_et_mm is not None or row.flags != before[row.pk]]
    # An upsert on rows that exist: several times faster than updating them one by one. What somebody entered
    # stays as entered, even if the computation left it out.
    model.objects.bulk_create(
        news,
        batch_size=CHUNK,
        update_conflicts=True,
        unique_fields=["id"],
        update_fields=["reference_et_mm", "et_method", "flags"],
    )
    return sum(row.reference_et_mm is not None for row in news)


def _column(rows: Sequence[ObservedDay] | Sequence[ForecastDay], name: str) -> Floats:
    return np.array([np.nan if (value := getattr(row, name)) is None else value for row in rows])


def _known(value: float) -> float | None:
    return None if value != value else value


def _by_hours(
    rows: Sequence[ObservedDay] | Sequence[ForecastDay], known: Mapping[Key, float], *, whole: Bools
) -> Floats:
    """Return what the hours give, NaN where they aren't known or the day itself isn't believed."""
    found = np.array([known.get((row.cell_id, row.date), np.nan) for row in rows])
    return np.where(whole, found, np.nan)


def _normals(rows: Sequence[ObservedDay | ForecastDay]) -> Floats:
    known: dict[tuple[int, int], float] = {
        (cell_id, month): et_mm
        for cell_id, month, et_mm in MonthlyNormal.objects.filter(
            cell__in={row.cell_id for row in rows}
        ).values_list("cell_id", "month", "reference_et_mm")
    }
    return np.array([known.get((row.cell_id, row.date.month), np.nan) for row in rows])


def _day_before(
    rows: Sequence[ObservedDay] | Sequence[ForecastDay], et_mm: Floats, stored: Mapping[Key, float]
) -> Floats:
    days = [(row.cell_id, row.date) for row in rows]
    known = {**stored, **dict(zip(days, et_mm.tolist(), strict=True))}
    return np.array([known.get((cell_id, day - timedelta(days=1)), np.nan) for cell_id, day in days])
