"""What the buttons of the grid do, without a script: more rows, a copy, one less, a column filled down."""

from typing import Any

from desk.set_up.columns import BY_KEY
from desk.set_up.form import kept
from desk.set_up.zone_rows import MOST_ROWS, Texts, fresh_rows, keyed

FILLED = ("kind", "how", *BY_KEY)


def changed(rows: list[Texts], post: Any, *, capacity: int) -> list[Texts] | None:
    """Return the rows as a button leaves them, None if none of the grid's was pressed."""
    do, _, key = str(post.get("do", "")).partition(":")
    match do:
        case "add":
            count = str(post.get("add-count", "1")).strip()
            more = int(count) if count.isascii() and count.isdecimal() and len(count) < 4 else 1
            kind = kept(str(post.get("add-kind", "")))[:20]
            return fresh_rows(rows, count=max(1, more), kind=kind, capacity=capacity)
        case "copy":
            return _copied(rows, key, capacity=capacity)
        case "remove":
            return [row for row in rows if row["k"] != key]
        case "fill":
            return filled_down(rows, str(post.get("fill-column", "")))
    return None


def _copied(rows: list[Texts], key: str, *, capacity: int) -> list[Texts]:
    place = next((n for n, row in enumerate(rows) if row["k"] == key), None)
    if place is None or len(rows) >= MOST_ROWS:
        return rows
    taken = {str(row["number"]).strip() for row in rows}
    number = next((str(n) for n in range(1, capacity + 1) if str(n) not in taken), "")
    copy = {**rows[place], "k": "", "number": number}
    return keyed([*rows[: place + 1], copy, *rows[place + 1 :]])


def filled_down(rows: list[Texts], column: str) -> list[Texts]:
    """Return the rows with each empty cell of a column as the one above it."""
    if column not in FILLED:
        return rows
    above, filled = "", []
    for row in rows:
        above = str(row.get(column, "")).strip() or above
        filled.append({**row, column: above})
    return filled
