"""Use by the hour from a CSV of any length, a line at a time: nothing but the line is held."""

import csv
from collections.abc import Iterable, Iterator
from datetime import timedelta
from typing import Any

from common.errors import Refused
from desk.meter_files.kinds import HOURS, L_PER_UNIT, guess
from desk.meter_files.moments import Clock, moment_of
from desk.meter_files.reading import Said, amount
from fleet.models import Meter
from fleet.services.meter_hours import Hour


def hours_of(lines: Iterable[str], said: Said, *, meter: Meter) -> Iterator[Hour]:
    """Yield the hours of a CSV whose head names date and time, in one column or in two, and the use.

    ``said.minutes`` must be given: the intervals' length isn't looked for in a file read once.

    Raises
    ------
    Refused
        If the head doesn't name both, or a line can't be read; the message says which.
    """
    reader = csv.reader(lines)
    rows = _rows(reader)
    meant = guess(next(rows, []), HOURS)
    at = [meant.index(key) for key in ("when", "day", "time") if key in meant]
    if "used" not in meant or not {"when", "day"} & set(meant):
        raise Refused("The head must name date and time, such as Time, and the use, such as Gallons.")
    used = meant.index("used")
    clock, per_unit = Clock(meter.site.timezone, standard=said.clock == "standard"), L_PER_UNIT[said.unit]
    minutes = int(said.minutes)
    back = timedelta(minutes=minutes if said.ends == "end" else 0)
    for row in rows:
        if not row:
            continue
        try:
            when = row[at[0]] if len(at) == 1 else " ".join([row[n] for n in at])
            begins_at = clock.placed(moment_of(when, said.order)) - back
            yield Hour(begins_at, minutes, amount(row[used]) * per_unit)
        except IndexError:
            raise Refused(f"Line {reader.line_num:,} has too few columns.") from None
        except Refused as refused:
            raise Refused(f"Line {reader.line_num:,}: {refused.message}") from None


def _rows(reader: Any) -> Iterator[list[str]]:
    try:
        yield from reader
    except csv.Error:  # such as a quotation mark that is never closed
        raise Refused(f"Line {reader.line_num:,} can't be read as CSV.") from None
