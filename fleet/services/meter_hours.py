"""Use by the hour, by the million: stored in batches by the fastest way the database has.

PostgreSQL copies a batch into a table of the connection's own and takes over what is new; SQLite inserts with
one prepared statement. Only where a batch met rows that were there are those read and compared.
"""

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Any, NamedTuple

from django.db import connection, transaction

from common.errors import Refused
from fleet.models import Meter, MeterHour, User
from fleet.models.meters import MOST, MOST_MINUTES
from fleet.selectors.people import require_enter
from fleet.services.meter_rows import alike
from fleet.tenancy import company_id_of

AT_ONCE = 20_000
TOLD = 100
COLUMNS = ("meter_id", "begins_at", "minutes", "used_l")


class Hour(NamedTuple):
    """What was used in some minutes from a moment on. [L]"""

    begins_at: dt.datetime
    minutes: int
    used_l: float


class Conflict(NamedTuple):
    """A row that differs from the one that is stored, which was kept. [L]"""

    begins_at: dt.datetime
    sent_l: float
    kept_l: float


@dataclass
class HoursTaken:
    """How many rows were new, how many the same as stored, how many differ; the first of those in full."""

    stored: int = 0
    same: int = 0
    conflicting: int = 0
    replaced: int = 0
    conflicts: list[Conflict] = field(default_factory=list)


@transaction.atomic
def store_hours(*, meter: Meter, by: User, rows: Iterable[Hour], instead: bool = False) -> HoursTaken:
    """Store interval data of a meter, all or nothing; rows are taken as they come, however many.

    ``instead`` writes over stored rows that differ.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If a row can't be: less than nothing, no time or more than a day, a moment without time zone.
    """
    require_enter(by, company_id_of(meter))
    Meter.objects.select_for_update().get(pk=meter.pk)
    taken = HoursTaken()
    for batch in _batches(rows):
        stored = _copied(meter.pk, batch) if connection.vendor == "postgresql" else _inserted(meter.pk, batch)
        taken.stored += stored
        if stored < len(batch):
            _compare(meter.pk, batch, stored, taken, instead=instead)
    return taken


def _batches(rows: Iterable[Hour]) -> Iterator[list[Hour]]:
    source = iter(rows)
    while batch := list(islice(source, AT_ONCE)):
        for n, row in enumerate(batch):
            if not (0.0 <= row.used_l <= MOST and 1 <= row.minutes <= MOST_MINUTES and row.begins_at.tzinfo):
                raise Refused(f"{row.used_l:g} litres in {row.minutes} minutes at {row.begins_at} can't be.")
            if (
                row.begins_at.tzinfo is not dt.UTC
            ):  # an hour that comes twice is never equal to itself elsewhere
                batch[n] = row._replace(begins_at=row.begins_at.astimezone(dt.UTC))
        yield batch


def _table() -> str:
    return connection.ops.quote_name(MeterHour._meta.db_table)


def _inserted(meter_id: int, batch: Sequence[Hour]) -> int:
    """Insert what is new with one statement; return how many rows that was."""
    adapt = connection.ops.adapt_datetimefield_value
    marks = ", ".join(["%s"] * len(COLUMNS))
    statement = f"INSERT INTO {_table()} ({', '.join(COLUMNS)}) VALUES ({marks}) ON CONFLICT DO NOTHING"
    with connection.cursor() as cursor:
        cursor.executemany(
            statement, [(meter_id, adapt(row.begins_at), row.minutes, row.used_l) for row in batch]
        )
        return int(cursor.rowcount)


def _copied(meter_id: int, batch: Sequence[Hour]) -> int:
    """Copy a batch beside the table and take over what is new; return how many rows that was."""
    names = ", ".join(COLUMNS)
    with connection.cursor() as cursor:
        cursor.execute(
            "CREATE TEMPORARY TABLE IF NOT EXISTS meter_hours_brought (meter_id bigint, "
            "begins_at timestamptz, minutes smallint, used_l double precision) ON COMMIT DELETE ROWS"
        )
        cursor.execute("TRUNCATE meter_hours_brought")
        with cursor.copy(f"COPY meter_hours_brought ({names}) FROM STDIN") as copy:
            for row in batch:
                copy.write_row((meter_id, *row))
        cursor.execute(
            f"INSERT INTO {_table()} ({names}) SELECT {names} FROM meter_hours_brought ON CONFLICT DO NOTHING"
        )
        return int(cursor.rowcount)


def _compare(meter_id: int, batch: Sequence[Hour], stored: int, taken: HoursTaken, *, instead: bool) -> None:
    begins = [row.begins_at for row in batch]
    kept: dict[Any, tuple[int, float]] = {
        begins_at: (minutes, used_l)
        for begins_at, minutes, used_l in MeterHour.objects.filter(
            meter=meter_id, begins_at__gte=min(begins), begins_at__lte=max(begins)
        ).values_list("begins_at", "minutes", "used_l")
    }
    differ = 0
    for row in batch:
        minutes, used_l = kept[row.begins_at]
        if minutes == row.minutes and alike(used_l, row.used_l):
            continue
        differ += 1
        if instead:
            MeterHour.objects.filter(meter=meter_id, begins_at=row.begins_at).update(
                minutes=row.minutes, used_l=row.used_l
            )
        elif len(taken.conflicts) < TOLD:
            taken.conflicts.append(Conflict(row.begins_at, row.used_l, used_l))
    taken.replaced += differ if instead else 0
    taken.conflicting += 0 if instead else differ
    taken.same += len(batch) - stored - differ
