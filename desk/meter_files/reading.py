"""The rows of a table read into what a meter showed, each error by its row and column."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Any

from common import clock
from common.errors import Refused
from desk.blanks import number, without_thousands
from desk.meter_files.kinds import BILLS, HOURS, L_PER_UNIT, NEEDED, READINGS
from desk.meter_files.moments import Clock, clock_of, day_of, moment_of
from desk.set_up.columns import simple
from desk.set_up.tables import Table
from desk.sheets.meter import money
from fleet.models import Meter
from fleet.models.meters import MOST
from fleet.services.meter_hours import Hour

NOON = timedelta(hours=12)
YES = {"yes", "y", "true", "1", "x", "reset", "replaced"}
LONGEST = timedelta(days=400)


@dataclass
class Said:
    """What a person said about a table: what it holds, its unit, how dates and times are written."""

    kind: str
    unit: str
    columns: list[str]
    head: bool = True
    order: str = "mdy"
    clock: str = "local"
    ends: str = "begin"
    minutes: str = ""


@dataclass
class Read:
    """The rows by meter, each with its number in the table; errors by row and column; what was assumed."""

    rows: dict[int, list[tuple[int, Any]]] = field(default_factory=dict)
    errors: dict[tuple[int, int], str] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    count: int = 0


@dataclass
class _Line:
    """One line of a table by meaning, with a place for what is wrong with it."""

    number: int
    cells: dict[str, str]
    place: dict[str, int]
    errors: dict[tuple[int, int], str]

    def get(self, key: str, read: Callable[[str], Any]) -> Any:
        """Return a cell read, None where it is empty or wrong; what is wrong is noted by its column."""
        text = self.cells.get(key, "")
        if not text:
            return None
        try:
            return read(text)
        except Refused as refused:
            self.wrong(key, refused.message)
            return None

    def wrong(self, key: str, message: str) -> None:
        """Note what is wrong with a cell, or with the line where it has no such cell."""
        self.errors.setdefault((self.number, self.place.get(key, -1)), message)

    @property
    def good(self) -> bool:
        """Tell whether nothing is wrong with it so far."""
        return not any(n == self.number for n, _ in self.errors)


def read_table(table: Table, said: Said, *, meter: Meter, others: Sequence[Meter]) -> Read:
    """Return the rows of a table; a column that names the meter chooses among all of the company's.

    Raises
    ------
    Refused
        If a column that is needed has no meaning, or two have the same.
    """
    _check(said)
    found = Read()
    place = {key: n for n, key in enumerate(said.columns) if key}
    named = _by_name(others)
    of_kind = {READINGS: _Readings, BILLS: _Bills, HOURS: _Hours}[said.kind](said)
    for n, cells in enumerate(table[1:] if said.head else table):
        line = _Line(n, {key: cells[m] for key, m in place.items() if m < len(cells)}, place, found.errors)
        found.count += 1
        of = _meter(line, meter, named)
        before = len(found.errors)
        row = of_kind.row(line, of) if of is not None else None
        if row is not None and of is not None and len(found.errors) == before:
            found.rows.setdefault(of.pk, []).append((n, row))
    of_kind.end(found)
    return found


def _check(said: Said) -> None:
    named = [key for key in said.columns if key]
    if len(named) != len(set(named)):
        raise Refused("Two columns mean the same; leave one of them out.")
    needed = [*NEEDED[said.kind]]
    missing = [key for key in needed if key not in named]
    if said.kind != BILLS and not {"when", "day"} & set(named):
        missing.append("when")
    if missing:
        words = {"value": "the reading", "used": "the use", "last": "the last day", "when": "date and time"}
        raise Refused(f"Say which column has {' and '.join(words[key] for key in missing)}.")


def _by_name(meters: Sequence[Meter]) -> dict[str, list[Meter]]:
    named: dict[str, list[Meter]] = {}
    for one in meters:
        for name in {simple(one.serial_number), simple(one.name)} - {""}:
            named.setdefault(name, []).append(one)
    return named


def _meter(line: _Line, meter: Meter, named: Mapping[str, list[Meter]]) -> Meter | None:
    text = line.cells.get("meter", "")
    if not text:
        return meter
    known = named.get(simple(text.removesuffix(".0")), [])
    if len(known) == 1:
        return known[0]
    several = f"Several meters are called “{text[:40]}”; use serial numbers."
    line.wrong("meter", several if known else f"There is no meter “{text[:40]}”.")
    return None


def amount(text: str) -> float:
    """Return a number of 0 or more, commas between thousands allowed."""
    value = number(without_thousands(text.strip()))
    if not 0.0 <= value <= MOST:
        raise Refused("0 or more.")
    return value


class _Kind:
    """Reads the lines of one kind of table; times are placed meter by meter."""

    def __init__(self, said: Said) -> None:
        self.said = said
        self.clocks: dict[int, Clock] = {}

    def row(self, line: _Line, meter: Meter) -> Any:
        """Return what a line says of a meter, None where anything is wrong with it."""
        raise NotImplementedError

    def end(self, found: Read) -> None:
        """Finish when all lines are read."""

    def in_unit(self, value: float, meter: Meter) -> float:
        """Return an amount of the file in the meter's unit."""
        if self.said.unit == meter.unit:
            return value
        return round(value * L_PER_UNIT[self.said.unit] / meter.l_per_unit, 6)

    def moment(self, line: _Line, meter: Meter, *, otherwise: timedelta) -> datetime | None:
        """Return when a line is about; ``otherwise`` is the time of day where none is given."""
        order = self.said.order
        whole = line.get("when", lambda text: moment_of(text, order))
        if whole is None:
            day = line.get("day", lambda text: moment_of(text, order))
            at = line.get("time", clock_of)
            if day is not None:
                alone = ":" not in line.cells.get("day", "")
                whole = day.replace(hour=0, minute=0, second=0) + at if at is not None else day
                whole += otherwise if at is None and alone else timedelta()
        elif ":" not in line.cells.get("when", ""):
            whole += otherwise
        if whole is None:
            if line.good:
                line.wrong("when" if "when" in line.place else "day", "There is no date.")
            return None
        clock_of_meter = self.clocks.setdefault(
            meter.pk, Clock(meter.site.timezone, standard=self.said.clock == "standard")
        )
        try:
            return self._not_to_come(line, meter, clock_of_meter.placed(whole))
        except Refused as refused:
            line.wrong("when" if "when" in line.place else "time", refused.message)
            return None

    def _not_to_come(self, line: _Line, meter: Meter, moment: datetime) -> datetime:
        zone = self.clocks[meter.pk].zone
        if moment.astimezone(zone).date() > clock.today(meter.site.timezone):
            raise Refused("That day is still to come.")
        return moment


class _Readings(_Kind):
    def row(self, line: _Line, meter: Meter) -> dict[str, Any] | None:
        read_at = self.moment(line, meter, otherwise=NOON)
        value = line.get("value", amount)
        if value is None and line.good:
            line.wrong("value", "There is no reading.")
        if read_at is None or value is None:
            return None
        reset = simple(line.cells.get("reset", "")) in YES
        note = line.cells.get("note", "")
        return {"read_at": read_at, "value": self.in_unit(value, meter), "reset": reset, "note": note}


class _Bills(_Kind):
    def __init__(self, said: Said) -> None:
        super().__init__(said)
        self.lasts: dict[int, date] = {}
        self.assumed = 0

    def row(self, line: _Line, meter: Meter) -> dict[str, Any] | None:
        first, last = (line.get(key, self._day) for key in ("first", "last"))
        used, charged = line.get("used", amount), line.get("charged", money)
        if used is None and line.good:
            line.wrong("used", "There is no amount.")
        if last is None:
            if line.good:
                line.wrong("last", "There is no last day.")
            return None
        before = self.lasts.get(meter.pk)
        self.lasts[meter.pk] = last
        if first is None and before is not None and before < last:
            first, self.assumed = before + timedelta(days=1), self.assumed + 1
        if first is None:
            if line.good:
                line.wrong("first", "There is no first day, and no earlier bill above it to go on from.")
            return None
        if last < first:
            line.wrong("last", "The last day is before the first.")
        elif last - first > LONGEST:
            line.wrong("last", "A bill of more than 400 days.")
        elif last > clock.today(meter.site.timezone):
            line.wrong("last", "That day is still to come.")
        if used is None or not line.good:
            return None
        note = line.cells.get("note", "")
        return {
            "first": first, "last": last, "used": self.in_unit(used, meter), "charged": charged, "note": note,
        }  # fmt: skip

    def end(self, found: Read) -> None:
        if self.assumed:
            found.notes.append(
                f"{self.assumed:,} bills without a first day are taken to begin the day after the one above."
            )

    def _day(self, text: str) -> date:
        return moment_of(text, self.said.order).date() if ":" in text else day_of(text, self.said.order)


class _Hours(_Kind):
    def row(self, line: _Line, meter: Meter) -> tuple[datetime, float] | None:
        begins_at = self.moment(line, meter, otherwise=timedelta())
        used = line.get("used", amount)
        if used is None and line.good:
            line.wrong("used", "There is no amount.")
        if begins_at is None or used is None:
            return None
        return begins_at, used * L_PER_UNIT[self.said.unit]

    def end(self, found: Read) -> None:
        for pk, rows in found.rows.items():
            minutes = int(self.said.minutes or 0) or _apart([row[0] for _, row in rows])
            back = timedelta(minutes=minutes if self.said.ends == "end" else 0)
            found.rows[pk] = [(n, Hour(at - back, minutes, litres)) for n, (at, litres) in rows]
            length = {15: "15 minutes", 30: "30 minutes", 60: "an hour", 1440: "a day"}.get(
                minutes, f"{minutes} minutes"
            )
            found.notes.append(f"Each interval is taken to last {length}.")
        found.notes = list(dict.fromkeys(found.notes))


def _apart(moments: Sequence[datetime]) -> int:
    """Return the minutes that intervals are apart most often, 60 where that can't be told."""
    stamps = sorted({moment.timestamp() for moment in moments[:2_000]})
    gaps = [round((b - a) / 60.0) for a, b in pairwise(stamps)]
    good = [gap for gap in gaps if 1 <= gap <= 1440]
    return max(set(good), key=good.count) if good else 60
