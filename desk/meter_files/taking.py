"""Storing what a table holds: all of it in one transaction, or nothing."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db import transaction

from desk.meter_files.kinds import BILLS, HOURS
from desk.meter_files.reading import Read
from desk.meter_words import register
from fleet.models import Meter, MeterReading, User
from fleet.services.meter_hours import store_hours
from fleet.services.meter_rows import store_bills, store_readings

TOLD = 20


@dataclass
class Counts:
    """How many rows were new, the same as stored, kept as stored though they differ, or written over."""

    stored: int = 0
    same: int = 0
    conflicting: int = 0
    replaced: int = 0
    differ: list[str] = field(default_factory=list)


@transaction.atomic
def take(
    read: Read, *, kind: str, meters: Sequence[Meter], by: User, instead: bool, on_trial: bool = False
) -> Counts:
    """Store rows; on trial everything is undone again and only what would come of it is told.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    ValidationError, Refused
        If a value can't be; then nothing is stored.
    """
    counts, by_id = Counts(), {meter.pk: meter for meter in meters}
    for pk, rows in read.rows.items():
        if kind == HOURS:
            _hours(by_id[pk], [row for _, row in rows], by, instead, counts)
        else:
            _rows(by_id[pk], rows, kind, by, instead, counts)
    if on_trial:
        transaction.set_rollback(True)
    return counts


def _hours(meter: Meter, rows: list[Any], by: User, instead: bool, counts: Counts) -> None:
    taken = store_hours(meter=meter, by=by, rows=rows, instead=instead)
    counts.stored += taken.stored
    counts.same += taken.same
    counts.conflicting += taken.conflicting
    counts.replaced += taken.replaced
    for one in taken.conflicts[: TOLD - len(counts.differ)]:
        counts.differ.append(
            f"{one.begins_at:%Y-%m-%d %H:%M}: {one.sent_l:,.1f} L, {one.kept_l:,.1f} L is stored"
        )


def _rows(
    meter: Meter, rows: list[tuple[int, Any]], kind: str, by: User, instead: bool, counts: Counts
) -> None:
    said = [row for _, row in rows]
    if kind == BILLS:
        taken = store_bills(meter=meter, by=by, rows=said, instead=instead)
    else:
        taken = store_readings(meter=meter, by=by, rows=said, how=MeterReading.How.FILE, instead=instead)
    for (n, row), one in zip(rows, taken, strict=True):
        setattr(counts, one.outcome, getattr(counts, one.outcome) + 1)
        if one.outcome == "conflicting" and len(counts.differ) < TOLD:
            sent = row["used"] if kind == BILLS else row["value"]
            counts.differ.append(
                f"Row {n + 1}: {register(sent, meter)}, {register(one.kept, meter)} is stored"
            )
