"""Storing days that are over: a better or equal class replaces, a worse one may only fill what is unknown."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Any, Final

from django.db.models import Q

from weather.models import ObservedDay, Quality, WeatherCell
from weather.services.reference_et import Key, compute_reference_et

AIR: Final = (
    "t_min_c",
    "t_max_c",
    "vapour_pressure_kpa",
    "wind_2m_m_s",
    "solar_radiation_mj_m2",
    "reference_et_mm",
    "et_method",
    "provider_et_mm",
    "flags",
)
STORED: Final = (*AIR, "rain_mm", "source", "quality")
AIR_KNOWN: Final = Q(reference_et_mm__isnull=False) | Q(t_min_c__isnull=False, t_max_c__isnull=False)
CHUNK: Final = 1000
_CLASSES: Final = Quality.values


def store_observed(
    *,
    days: Sequence[ObservedDay],
    cells: Sequence[WeatherCell],
    by_hours: Mapping[Key, float] | None = None,
) -> int:
    """Compute and store days that came from a source; return how many rows are new or differ from before.

    ``by_hours`` is reference ET of days whose hours are known, by cell and date. [mm]
    """
    if not days:
        return 0
    stored = _stored(days, cells)
    et_before = {key: row.reference_et_mm for key, row in stored.items() if row.reference_et_mm is not None}
    compute_reference_et(rows=days, cells=cells, et_before=et_before, by_hours=by_hours)
    changed = [row for day in days if (row := _merged(stored.get((day.cell_id, day.date)), day)) is not None]
    ObservedDay.objects.bulk_create(
        changed,
        batch_size=CHUNK,
        update_conflicts=True,
        unique_fields=["cell", "date"],
        update_fields=[*STORED, "fetched_at"],
    )
    return len(changed)


def forget(days: Sequence[ObservedDay]) -> None:
    """Delete what is stored of the days that ``days`` can stand for: what they don't know stays as it is."""
    by_cell: dict[int, list[date]] = defaultdict(list)
    for day in days:
        if _air_known(day):
            by_cell[day.cell_id].append(day.date)
    for cell, dates in by_cell.items():
        ObservedDay.objects.filter(cell=cell, date__in=dates).delete()


def _stored(days: Sequence[ObservedDay], cells: Sequence[WeatherCell]) -> dict[Key, ObservedDay]:
    dates = [day.date for day in days]
    rows = ObservedDay.objects.filter(
        cell__in=cells, date__range=(min(dates) - timedelta(days=1), max(dates))
    )
    return {(row.cell_id, row.date): row for row in rows}


def _merged(stored: ObservedDay | None, new: ObservedDay) -> ObservedDay | None:
    """Return the row to write, or None if nothing would change."""
    if stored is None:
        return new
    lead, other = (new, stored) if _rank(new) <= _rank(stored) else (stored, new)
    air = lead if _air_known(lead) or not _air_known(other) else other
    values: dict[str, Any] = {name: getattr(air, name) for name in AIR}
    values["rain_mm"] = lead.rain_mm if lead.rain_mm is not None else other.rain_mm
    values["source"], values["quality"] = lead.source, lead.quality
    if all(getattr(stored, name) == value for name, value in values.items()):
        return None
    return ObservedDay(cell_id=new.cell_id, date=new.date, **values)


def _rank(row: ObservedDay) -> int:
    return _CLASSES.index(row.quality)


def _air_known(row: ObservedDay) -> bool:
    return row.reference_et_mm is not None or (row.t_min_c is not None and row.t_max_c is not None)
