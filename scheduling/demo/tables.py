"""Read the demo's lists: one CSV table a noun, the first line names the columns."""

import csv
from collections.abc import Iterator
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parent / "lists"
ZONE_TABLES = ("zones_associations", "zones_grounds", "zones_shops", "zones_homes")

Row = dict[str, str]


@cache
def table(name: str) -> tuple[Row, ...]:
    """Return the rows of one table, every cell as written."""
    with (FOLDER / f"{name}.csv").open(newline="", encoding="utf-8") as lines:
        return tuple(csv.DictReader(lines))


def zone_rows() -> Iterator[Row]:
    """Return the zones of all properties."""
    for name in ZONE_TABLES:
        yield from table(name)


def by_key(name: str, column: str = "key") -> dict[str, Row]:
    """Return the rows of a table by one of its columns."""
    return {row[column]: row for row in table(name)}


def number(cell: str) -> float | None:
    """Return what a cell says, None where it says nothing."""
    return float(cell) if cell else None
