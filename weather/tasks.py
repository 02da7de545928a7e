"""Background tasks: each calls one service; running one twice is harmless."""

from celery import shared_task

from weather.models import WeatherCell
from weather.services.mornings import fetch_anew
from weather.services.normals import rebuild_normals
from weather.services.on_demand import fetch_usual_year
from weather.services.retry import drain


@shared_task(name="weather.try_failed_again")
def try_failed_again() -> dict[str, object]:
    """Fetch for every row whose next attempt has come; run it every few minutes."""
    return drain().as_dict()


@shared_task(name="weather.rebuild_normals")
def rebuild_all_normals() -> int:
    """Rebuild the monthly normals; once a week is plenty."""
    return rebuild_normals()


@shared_task(name="weather.fetch_cells_anew")
def fetch_cells_anew(cell_ids: list[int]) -> dict[str, object]:
    """Ask again for the last days of these cells; a cell that is gone by now is left out."""
    return fetch_anew(cells=WeatherCell.objects.filter(pk__in=cell_ids)).as_dict()


@shared_task(name="weather.usual_year")
def usual_year(cell_id: int) -> dict[str, object]:
    """Fetch a place's last year and rebuild its normals; a place that is gone by now is left out."""
    cell = WeatherCell.objects.filter(pk=cell_id).first()
    return fetch_usual_year(cell).as_dict() if cell is not None else {}
