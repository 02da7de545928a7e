"""Lines of a replay's CSV files: read as they are meant, and what can't be is said with its line."""

import csv
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Final

from common.errors import Refused

MOST_TOLD: Final = 5


def lines_of(path: Path) -> list[str]:
    """Return the lines of a file.

    Raises
    ------
    Refused
        If it can't be opened or isn't text.
    """
    try:
        return path.read_text(encoding="utf-8-sig").splitlines()
    except UnicodeDecodeError:
        raise Refused(f"{path} is no text in UTF-8; save it as a CSV file in UTF-8.") from None
    except OSError as error:
        raise Refused(f"{path} can't be read: {error.strerror}.") from error


def rows_of(
    lines: Iterable[str],
    *,
    what: str,
    columns: Sequence[str],
    needed: Sequence[str] = (),
    others: bool = True,
) -> Iterator[tuple[int, dict[str, str]]]:
    """Return the number and the cells of each line; heads in small letters, no spaces around anything.

    ``others`` whether columns nobody asked for are passed over.

    Raises
    ------
    Refused
        If a needed column is missing, one is there twice, or a line has more cells than there are columns.
    """
    rows = csv.reader(lines, skipinitialspace=True)
    try:
        heads = [head.strip().lower() for head in next(rows, [])]
        if lacking := [name for name in needed if name not in heads]:
            sort = ", separated by commas" if len(heads) < 2 else ""
            raise Refused(f"{what} has no column {', '.join(lacking)}; it needs {', '.join(columns)}{sort}.")
        if not others and (strange := [head for head in heads if head not in columns]):
            named = ", ".join(head or "(no name)" for head in strange)
            raise Refused(f"{what} take no column {named}, but {', '.join(columns)}.")
        if twice := [name for name in columns if heads.count(name) > 1]:
            raise Refused(f"{what} has the column {', '.join(twice)} twice.")
        for cells in rows:
            if len(cells) > len(heads):
                raise Refused(
                    f"{what}, line {rows.line_num}: {len(cells)} cells in {len(heads)} columns; "
                    "decimals take a point."
                )
            if cells:
                yield rows.line_num, dict(zip(heads, map(str.strip, cells), strict=False))
    except csv.Error as error:
        raise Refused(f"{what} can't be read as CSV: {error}.") from error


def refuse(what: str, wrong: list[str]) -> None:
    """Raise with the first lines that can't be, if there are any."""
    if wrong:
        more = f" and {len(wrong) - MOST_TOLD} more" if len(wrong) > MOST_TOLD else ""
        raise Refused(f"{what} can't be read: {'; '.join(wrong[:MOST_TOLD])}{more}.")
