"""Rows of the zone grid: what was typed, what a kind or a table fills in, and how each value is known."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from common.errors import Refused
from desk.set_up.amounts import whole_between
from desk.set_up.columns import COLUMNS, Column
from desk.set_up.form import kept
from fleet.models import ZonePreset
from fleet.models.set_up import KIND_BASIS
from fleet.models.zones import BASES
from fleet.numerics.flow_check import flow_expected
from fleet.numerics.heads import HEADS
from fleet.numerics.plants import PLANTS
from fleet.numerics.precipitation import rate_from_flow
from fleet.numerics.sourced import Sourced

MOST_ROWS = 200
PLAIN = ("k", "number", "name", "kind", "how")
TEXTS = (*PLAIN, *(column.key for column in COLUMNS))
HOW = (("measured", "seen or measured"), ("assumed", "assumed"))
Texts = dict[str, Any]
_number = whole_between(1, 999)


@dataclass
class Value:
    """What stands for one field of a zone: the value in SI, how it is known, where it comes from."""

    column: Column
    text: str
    value: Any = None
    basis: str = ""
    source: str = ""
    error: str = ""
    filled: bool = False  # not typed: it comes with the kind, from a table, or is computed

    @property
    def known(self) -> str:
        """Return how it is known, in a word."""
        return "seen" if self.column.table and self.basis == "measured" else self.basis

    @property
    def words(self) -> str:
        """Return the value of a table in words."""
        return self.column.shown(self.value, "us") if self.column.table else ""

    def placeholder(self, units: str) -> str:
        """Return what an empty cell shows."""
        return self.column.shown(self.value, units) if self.filled else ""


@dataclass
class ZoneRow:
    """One zone as it stands in the grid."""

    texts: Texts
    units: str
    number: int | None = None
    name: str = ""
    kind: ZonePreset | None = None
    cells: dict[str, Value] = field(default_factory=dict)
    errors: dict[str, str] = field(default_factory=dict)

    @property
    def lacks(self) -> list[str]:
        """Return what the nightly decision can't do without."""
        needed = ("plant", "head", "soil", "sun", "slope", "area", "root", "uniformity", "rate")
        return [self.cells[key].column.label.lower() for key in needed if self.cells[key].value in (None, "")]

    @property
    def assumed(self) -> list[str]:
        """Return the values that are only assumed."""
        return [
            one.column.label.lower() for one in self.cells.values() if one.value and one.basis == "assumed"
        ]

    @property
    def flow_l_min(self) -> float | None:
        """Return the flow it takes: as typed, else by area and rate, None where they aren't known. [L/min]"""
        area, rate = self.cells["area"].value, self.cells["rate"].value
        if self.cells["flow"].value:
            return float(self.cells["flow"].value)
        return float(flow_expected(rate, area)) if area and rate else None

    def fields(self) -> dict[str, Any]:
        """Return what the zone is set up with."""
        said = {
            c.field: self.cells[c.key].value for c in COLUMNS if self.cells[c.key].value not in (None, "")
        }
        basis = {c.field: self.cells[c.key].basis for c in COLUMNS if c.field in said}
        return {"number": self.number, "name": self.name, **said, "basis": basis}


def read_row(texts: Texts, *, units: str, kinds: Mapping[str, ZonePreset]) -> ZoneRow:
    """Return a row as it is understood; what can't be read is in its errors, by key."""
    row = ZoneRow(texts, units, kind=kinds.get(str(texts.get("kind", ""))))
    try:
        row.number = _number(str(texts.get("number", "")))
        if row.number is None:
            row.errors["number"] = "Give every zone its number."
    except Refused as refused:
        row.errors["number"] = refused.message
    row.name = str(texts.get("name", "")).strip() or (f"Zone {row.number}" if row.number else "")
    if len(row.name) > 80:
        row.errors["name"] = "80 characters at the most."
    for column in COLUMNS:
        row.cells[column.key] = _typed(row, column)
    _fill(row)
    row.errors |= {key: one.error for key, one in row.cells.items() if one.error}
    return row


def _typed(row: ZoneRow, column: Column) -> Value:
    text = str(row.texts.get(column.key, ""))
    one = Value(column, text)
    try:
        one.value = column.read(text, row.units)
    except Refused as refused:
        one.error = refused.message
        return one
    if one.value is not None:
        how = row.texts.get("how")
        # a rate counts as measured only where it was caught in cans: such a rate is net of losses in the air
        seen = "table" if column.key == "rate" else "measured"
        one.basis = "assumed" if how == "assumed" else seen
        said, about = (row.texts.get("known") or {}).get(column.key, ("", ""))
        if said in BASES and about == text:
            one.basis = said
    return one


def _fill(row: ZoneRow) -> None:
    """Put in what was left empty: from the kind, from our tables, from flow and area."""
    if row.kind is not None:
        for name, value in row.kind.as_zone().items():
            _put(row, name, value, KIND_BASIS[name], f"kind “{row.kind.name}”", keep_rate=True)
    plant, head = row.cells["plant"].value, row.cells["head"].value
    flow, area = row.cells["flow"].value, row.cells["area"].value
    if flow and area:
        basis = "assumed" if "assumed" in (row.cells["flow"].basis, row.cells["area"].basis) else "table"
        _put(row, "precipitation_rate_mm_h", float(rate_from_flow(flow, area)), basis, "flow over area")
        if not 0.1 <= (row.cells["rate"].value or 1) <= 500:
            row.cells["area"].error = "With this flow the rate can't be; look at flow and area again."
    elif row.kind is not None:
        rate = row.kind.as_zone()["precipitation_rate_mm_h"]
        _put(row, "precipitation_rate_mm_h", rate, "table", f"kind “{row.kind.name}”")
    if plant:
        _table(row, "root_depth_mm", PLANTS[plant].root_depth_mm)
    if head:
        _table(row, "uniformity", HEADS[head].uniformity)
        _table(row, "precipitation_rate_mm_h", HEADS[head].rate_mm_h)


def _table(row: ZoneRow, name: str, sourced: Sourced[float]) -> None:
    basis = "assumed" if sourced.standing == "assumed" else "table"
    _put(row, name, sourced.value, basis, sourced.source)


def _put(row: ZoneRow, name: str, value: Any, basis: str, source: str, *, keep_rate: bool = False) -> None:
    one = next(cell for cell in row.cells.values() if cell.column.field == name)
    if one.text.strip() or one.value is not None or one.error:
        return
    if keep_rate and name == "precipitation_rate_mm_h":
        return  # flow and area come before a kind's usual rate
    if name == "wetted_share" and value == 1.0:
        return
    one.value, one.basis, one.source, one.filled = value, basis, source, True


def read_rows(
    rows: Sequence[Texts], *, units: str, kinds: Mapping[str, ZonePreset], capacity: int
) -> list[ZoneRow]:
    """Return all rows, each number once and within what the controller can hold."""
    read = [read_row(texts, units=units, kinds=kinds) for texts in rows]
    seen: set[int] = set()
    for row in read:
        if row.number is None:
            continue
        if row.number in seen:
            row.errors["number"] = "Another row has this number."
        elif row.number > capacity:
            row.errors["number"] = f"This controller has zones 1 to {capacity}."
        seen.add(row.number)
    return read


def posted_rows(post: Any) -> list[Texts]:
    """Return the rows of the grid as they were posted, in order; what can't be kept is left out."""
    rows: list[Texts] = []
    for place in post.getlist("row")[:MOST_ROWS]:
        rows.append({key: kept(str(post.get(f"{place}-{key}", "")))[:500] for key in TEXTS})
    return keyed(rows)


def keyed(rows: list[Texts]) -> list[Texts]:
    """Give every row a key of its own."""
    used: set[str] = set()
    highest = max([0, *(int(row["k"]) for row in rows if _is_key(row.get("k", "")))])
    for row in rows:
        if not _is_key(row.get("k", "")) or row["k"] in used:
            highest += 1
            row["k"] = str(highest)
        used.add(row["k"])
    return rows


def _is_key(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) <= 6


def fresh_rows(rows: list[Texts], *, count: int, kind: str, capacity: int) -> list[Texts]:
    """Return the rows with so many more, numbered on, as far as the controller and the page can hold."""
    taken = {str(row.get("number", "")).strip() for row in rows}
    free = [str(n) for n in range(1, capacity + 1) if str(n) not in taken]
    room = max(0, min(count, MOST_ROWS - len(rows), len(free)))
    fresh = [
        dict.fromkeys(TEXTS, "") | {"number": free[n], "kind": kind, "how": "measured"} for n in range(room)
    ]
    return keyed([*rows, *fresh])


def carried(rows: list[Texts], before: list[Texts]) -> list[Texts]:
    """Return posted rows with what the grid doesn't show: how single values are known."""
    beside = {
        row.get("k"): {name: row[name] for name in ("known", "sums") if row.get(name)} for row in before
    }
    return [row | beside.get(row["k"], {}) for row in rows]
