"""A row as it is now, held by whoever writes it; one that was removed meanwhile is told."""

from typing import TypeVar

from django.db import models

from common.errors import Gone

M = TypeVar("M", bound=models.Model)


def held(row: M, *, gone: str = "") -> M:
    """Return a row as it stands in the database, held until the transaction ends.

    ``gone`` is what to say if it is no longer there, where its kind's name alone wouldn't do.

    Raises
    ------
    Gone
        If it is no longer there.
    """
    now = type(row)._default_manager.select_for_update().filter(pk=row.pk).order_by("pk").first()
    if now is None:
        raise Gone(gone or f"This {row._meta.verbose_name} is gone by now.")
    return now
