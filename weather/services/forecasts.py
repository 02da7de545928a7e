"""Storing what was foreseen: rows for each moment it was issued, never written over by a later one."""

from collections.abc import Mapping, Sequence
from typing import Final

from weather.models import ForecastDay, WeatherCell
from weather.services.observed import STORED
from weather.services.reference_et import Key, compute_reference_et

CHUNK: Final = 1000


def store_forecasts(
    *,
    days: Sequence[ForecastDay],
    cells: Sequence[WeatherCell],
    by_hours: Mapping[Key, float] | None = None,
) -> int:
    """Compute and store foreseen days; return how many rows there are.

    ``by_hours`` is reference ET of days whose hours are known, by cell and date. [mm]
    """
    compute_reference_et(rows=days, cells=cells, by_hours=by_hours)
    ForecastDay.objects.bulk_create(
        days,
        batch_size=CHUNK,
        update_conflicts=True,
        unique_fields=["cell", "issued_at", "date"],
        update_fields=[*STORED, "rain_probability", "fetched_at"],
    )
    return len(days)
