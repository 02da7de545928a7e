"""What a month usually brings, rebuilt from the observed days that are stored."""

from collections.abc import Sequence
from datetime import date
from typing import Final

from django.db import transaction
from django.db.models import Avg, Count

from weather.models import MonthlyNormal, ObservedDay, WeatherCell

FEWEST_DAYS: Final = 20
# Of a mean year: February has its leap day every fourth time.
DAYS_IN_MONTH: Final = (31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def rebuild_normals(*, cells: Sequence[WeatherCell] | None = None, before: date | None = None) -> int:
    """Rebuild the monthly normals of ``cells`` (all of them without it); return how many months there are.

    A month needs 20 days with reference ET, all years together; its rain needs 20 days with known rain.
    ``before`` leaves out that day and later ones.
    """
    days = ObservedDay.objects.filter(reference_et_mm__isnull=False)
    if cells is not None:
        days = days.filter(cell__in=cells)
    if before is not None:
        days = days.filter(date__lt=before)
    normals = [
        MonthlyNormal(
            cell_id=month["cell_id"],
            month=month["date__month"],
            reference_et_mm=round(month["et"], 3),
            rain_mm=_rain_of_month(month["date__month"], month["rain"], month["rain_days"]),
            days_used=month["days"],
        )
        for month in days.order_by()
        .values("cell_id", "date__month")
        .annotate(
            et=Avg("reference_et_mm"), days=Count("pk"), rain=Avg("rain_mm"), rain_days=Count("rain_mm")
        )
        if month["days"] >= FEWEST_DAYS
    ]
    _store(normals)
    return len(normals)


def _rain_of_month(month: int, mean_mm: float | None, days: int) -> float | None:
    if mean_mm is None or days < FEWEST_DAYS:
        return None
    return round(mean_mm * DAYS_IN_MONTH[month - 1], 2)


def _store(normals: list[MonthlyNormal]) -> None:
    with transaction.atomic():
        MonthlyNormal.objects.bulk_create(
            normals,
            batch_size=1000,
            update_conflicts=True,
            unique_fields=["cell", "month"],
            update_fields=["reference_et_mm", "rain_mm", "days_used"],
        )
