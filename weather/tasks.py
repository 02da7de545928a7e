"""Background tasks: each calls one service; running one twice is harmless."""

from celery import shared_task

from weather.services.normals import rebuild_normals
from weather.services.retry import drain


@shared_task(name="weather.try_failed_again")
def try_failed_again() -> dict[str, object]:
    """Fetch for every row whose next attempt has come; run it every few minutes."""
    return drain().as_dict()


@shared_task(name="weather.rebuild_normals")
def rebuild_all_normals() -> int:
    """Rebuild the monthly normals; once a week is plenty."""
    return rebuild_normals()
