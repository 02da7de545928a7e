"""One fact a place and day, written so that nobody writes over what they haven't seen."""

from dataclasses import dataclass
from datetime import date
from typing import Any, Generic, TypeVar

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction

from common.errors import MovedOn, Refused

M = TypeVar("M", bound=models.Model)
TAKEN = "Somebody else noted something here in the meantime; nothing was overwritten. Look, then tap again."


@dataclass(frozen=True)
class Put(Generic[M]):
    """A fact as it stands now; ``before`` is what it replaced, ``written`` tells whether anything changed."""

    row: M
    before: dict[str, Any] | None
    written: bool


def mark_of(row: models.Model | None, names: tuple[str, ...]) -> str:
    """Return what a page showed of a fact, short enough to be sent back with the form; "" for nothing."""
    return "" if row is None else ":".join(str(getattr(row, name)) for name in names)


def says(row: models.Model, names: tuple[str, ...]) -> dict[str, Any]:
    """Return what a fact says, as it can be stored as JSON."""
    found: dict[str, Any] = {}
    for name in names:
        attribute = row._meta.get_field(name).attname  # type: ignore[union-attr]
        value = getattr(row, attribute)
        found[attribute] = value.isoformat() if isinstance(value, date) else value
    return found


def put_back(row: models.Model, before: dict[str, Any] | None) -> None:
    """Let a fact say again what it said before, or take it away if there was none."""
    if before is None:
        row.delete()
        return
    for attribute, value in before.items():
        field = row._meta.get_field(attribute)
        setattr(row, attribute, field.to_python(value))  # type: ignore[union-attr]
    row.save()


def put_fact(
    model: type[M], *, key: dict[str, Any], values: dict[str, Any], shown: tuple[str, ...], seen: str
) -> Put[M]:
    """Write a fact unless it is there already.

    Parameters
    ----------
    key
        What there is one fact of: a place and a day.
    values
        What the fact says.
    shown
        The names in ``values`` that a page shows; the same in all of them is the same fact.
    seen
        The mark of what the person saw before (``mark_of``).

    Raises
    ------
    Refused
        If the model doesn't take the values.
    MovedOn
        If another fact is there than the one the person saw.
    """
    with transaction.atomic():
        row = model._default_manager.select_for_update().filter(**key).first()
        if row is not None and all(getattr(row, name) == values[name] for name in shown):
            return Put(row, before=None, written=False)
        if mark_of(row, shown) != seen:
            raise MovedOn(TAKEN, current_status="noted" if row else "nothing noted")
        before = says(row, tuple(values)) if row is not None else None
        row = row or model(**key)
        for name, value in values.items():
            setattr(row, name, value)
        _save(row, field=shown[0])
    return Put(row, before=before, written=True)


def _save(row: models.Model, *, field: str) -> None:
    try:
        row.full_clean(validate_unique=False, validate_constraints=False)
    except ValidationError as error:
        raise Refused("; ".join(error.messages), field=field) from error
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError:  # two at the very same moment: the first stands
        raise MovedOn(TAKEN, current_status="noted") from None
