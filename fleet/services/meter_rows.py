"""Many readings or bills at once: stored, the same as stored already, or in conflict with what is stored.

Nothing that is stored is overwritten unless that is asked for; what differs is answered with what is kept.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import isclose
from typing import Any, Literal, TypeVar

from django.db import transaction
from simple_history.utils import bulk_create_with_history

from fleet.models import Meter, MeterBill, MeterReading, User
from fleet.selectors.people import require_enter
from fleet.tenancy import company_id_of

Outcome = Literal["stored", "same", "conflicting", "replaced"]
AT_ONCE = 500
R = TypeVar("R", MeterReading, MeterBill)


@dataclass(frozen=True)
class Taken:
    """What became of one row; ``kept`` is the value that is stored, in the meter's unit."""

    outcome: Outcome
    kept: float


@transaction.atomic
def store_readings(
    *, meter: Meter, by: User, rows: Sequence[dict[str, Any]], how: str, instead: bool = False
) -> list[Taken]:
    """Store readings (``read_at``, ``value``, perhaps ``reset`` and ``note``), each answered in its order.

    Two rows of one moment count as a repetition, or as a conflict with the first. A reading is the same if
    its value is, and whether it counts anew. ``instead`` writes over stored readings that differ.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    ValidationError
        If a value can't be; then nothing is stored.
    """
    require_enter(by, company_id_of(meter))
    rows = [row | {"read_at": row["read_at"].astimezone(dt.UTC)} for row in rows]
    stored: dict[Any, MeterReading] = {
        one.read_at: one for one in _held(meter).readings.filter(read_at__in=[row["read_at"] for row in rows])
    }
    taken, fresh = [], []
    for row in rows:
        kept = stored.get(row["read_at"])
        if kept is None:
            kept = MeterReading(meter=meter, how=how, by=by, **row)
            kept.full_clean(exclude=["meter", "by"], validate_unique=False, validate_constraints=False)
            stored[row["read_at"]] = kept
            fresh.append(kept)
            taken.append(Taken("stored", kept.value))
        else:
            same = alike(kept.value, row["value"]) and kept.reset == bool(row.get("reset", False))
            over = instead and not same and kept.pk is not None
            if over:
                _write_over(kept, row | {"how": how, "by": by})
            taken.append(Taken("same" if same else "replaced" if over else "conflicting", kept.value))
    _add(MeterReading, fresh, by)
    return taken


@transaction.atomic
def store_bills(
    *, meter: Meter, by: User, rows: Sequence[dict[str, Any]], instead: bool = False
) -> list[Taken]:
    """Store bills (``first``, ``last``, ``used``, perhaps ``charged``); else as ``store_readings``."""
    require_enter(by, company_id_of(meter))
    stored: dict[dt.date, MeterBill] = {
        one.first: one for one in _held(meter).bills.filter(first__in=[row["first"] for row in rows])
    }
    taken, fresh = [], []
    for row in rows:
        kept = stored.get(row["first"])
        if kept is None:
            kept = MeterBill(meter=meter, by=by, **row)
            kept.full_clean(exclude=["meter", "by"], validate_unique=False, validate_constraints=False)
            stored[row["first"]] = kept
            fresh.append(kept)
            taken.append(Taken("stored", kept.used))
        else:
            same = alike(kept.used, row["used"]) and kept.last == row["last"]
            over = instead and not same and kept.pk is not None
            if over:
                _write_over(kept, row | {"by": by})
            taken.append(Taken("same" if same else "replaced" if over else "conflicting", kept.used))
    _add(MeterBill, fresh, by)
    return taken


def _write_over(row: R, said: dict[str, Any]) -> None:
    for name, value in said.items():
        setattr(row, name, value)
    row.full_clean(exclude=["meter", "by"], validate_unique=False, validate_constraints=False)
    row.save()


def alike(a: float, b: float) -> bool:
    """Tell whether two amounts are the same but for how a unit was converted."""
    return isclose(a, b, rel_tol=1e-9, abs_tol=1e-9)


def _held(meter: Meter) -> Meter:
    """Return the meter, held: of two imports at once the second sees what the first stored."""
    return Meter.objects.select_for_update().get(pk=meter.pk)


def _add(model: type[R], rows: Iterable[R], by: User) -> None:
    bulk_create_with_history(list(rows), model, batch_size=AT_ONCE, default_user=by)
