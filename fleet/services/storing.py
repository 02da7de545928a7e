"""Storing a row that people write: only the fields meant for it, checked, and told by field what is wrong."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db import IntegrityError, models, transaction

from common.errors import InUse, MovedOn, Refused


def store(row: models.Model, *, fields: Mapping[str, Any], may_set: tuple[str, ...], once: str) -> None:
    """Write fields to a row, check it whole and save it.

    ``once`` is the field to name where another row already stands in its place.

    Raises
    ------
    Refused
        If a field isn't one of ``may_set``, or another row stands in its place.
    ValidationError
        If a value can't be.
    MovedOn
        If somebody took its place this very moment.
    """
    fields = {name: value for name, value in fields.items() if getattr(row, name) != value}
    for name, value in fields.items():
        if name not in may_set:
            raise Refused("This stays as it is.", field=name)
        setattr(row, name, value)
    check(row, once=once)
    try:
        with transaction.atomic():
            row.save(update_fields=None if row._state.adding else list(fields))
    except IntegrityError:
        taken = f"There is another {row._meta.verbose_name} in its place since a moment ago."
        raise MovedOn(taken, current_status="taken") from None


def check(row: models.Model, *, once: str) -> None:
    """Check a row whole; that another stands in its place is told at the field ``once``."""
    try:
        row.full_clean()
    except ValidationError as error:
        left = error.error_dict
        if any(one.code in ("unique", "unique_together") for one in left.get(NON_FIELD_ERRORS, [])):
            raise Refused(
                f"There is a {row._meta.verbose_name} with this {once} already.", field=once
            ) from None
        raise


def remove(row: models.Model, *, along: frozenset[str] = frozenset()) -> None:
    """Delete a row on which nothing hangs but what goes ``along``.

    Raises
    ------
    InUse
        If anything hangs on it.
    """
    with transaction.atomic():
        for relation in row._meta.related_objects:
            name = relation.get_accessor_name()
            if name is None or name in along or relation.related_model is None:
                continue
            if relation.related_model._base_manager.filter(**{relation.field.name: row}).exists():
                what = relation.related_model._meta.verbose_name_plural
                raise InUse(f"There are {what} with this {row._meta.verbose_name}; nothing was removed.")
        row.delete()
