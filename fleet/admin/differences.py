"""What changed between two earlier states of a row, in words."""

from typing import Any, NamedTuple

from django.db import models

EMPTY = "–"


class Difference(NamedTuple):
    """One field that changed."""

    field: str
    was: str
    now: str


def differences(was: Any, now: Any) -> list[Difference]:
    """Return what changed from one earlier row of a model to a later one."""
    return [
        Difference(str(field.verbose_name), shown(was, field), shown(now, field))
        for field in now.tracked_fields
        if getattr(was, field.attname) != getattr(now, field.attname)
    ]


def all_fields(row: Any) -> list[tuple[str, str]]:
    """Return every field of an earlier row."""
    return [(str(field.verbose_name), shown(row, field)) for field in row.tracked_fields]


def summary(row: Any) -> str:
    """Return the first fields of an earlier row that say anything."""
    said = [f"{name}: {value}" for name, value in all_fields(row)[1:] if value != EMPTY]
    return "; ".join(said[:4]) or f"number {row.id}"


def named(row: models.Model) -> str:
    """Return what a row calls itself, also when the rows it speaks of are gone."""
    try:
        return str(row)
    except models.ObjectDoesNotExist:
        return f"{row._meta.verbose_name} {row.pk}"


def shown(row: Any, field: models.Field) -> str:
    """Return a field's value as people read it."""
    value = getattr(row, field.attname)
    if value is None or value == "":
        return EMPTY
    if field.is_relation:
        other = related(row, field.name)
        return f"no longer there ({value})" if other is None else str(other)
    if isinstance(value, dict):
        return ", ".join(f"{name}: {said}" for name, said in value.items()) or EMPTY
    if isinstance(value, list):
        return ", ".join(map(str, value)) or EMPTY
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(dict(field.flatchoices).get(value, value) if field.choices else value)


def related(row: Any, name: str) -> models.Model | None:
    """Return what a relation leads to, or None if that has gone."""
    try:
        found: models.Model | None = getattr(row, name)
    except models.ObjectDoesNotExist:
        return None
    return found
