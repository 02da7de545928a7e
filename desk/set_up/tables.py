"""Tables people bring along: a pasted block, a CSV or an XLSX, read within limits and never trusted."""

import csv
import io
import zipfile
from dataclasses import dataclass
from typing import Any

from openpyxl import load_workbook

from common.errors import Refused
from desk.set_up.form import kept

MOST_BYTES = 1_000_000
MOST_PARTS = 200
MOST_CELLS = 30
MOST_LETTERS = 200
Table = list[list[str]]


@dataclass(frozen=True)
class Limits:
    """How much a table may hold, and what its rows are called; ``lines`` with a head."""

    lines: int = 201
    bytes: int = MOST_BYTES
    unpacked: int = 20_000_000
    rows: str = "zones"

    @property
    def too_many(self) -> str:
        """Return what is said of too long a table."""
        return f"{self.lines - 1:,} {self.rows} at the most; split the table."


ZONES = Limits()
NOT_READ = "This file can't be read. Save it as CSV or XLSX and try again."


def read_file(name: str, content: bytes, limits: Limits = ZONES) -> Table:
    """Return the first sheet of a file as texts.

    Raises
    ------
    Refused
        If it is too large, holds nothing, or can't be read.
    """
    if len(content) > limits.bytes:
        raise Refused(f"A file of at most {limits.bytes // 1_000_000} MB.", field="file")
    if content[:2] == b"PK":
        return _tidy(_xlsx(content, limits), limits)
    if b"\0" in content[:4000] and not content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Refused(NOT_READ, field="file")
    return read_text(_decoded(content), field="file", limits=limits)


def read_text(text: str, *, field: str = "paste", limits: Limits = ZONES) -> Table:
    """Return a pasted block, or the text of a CSV; tabs, semicolons or commas between the cells."""
    if len(text) > limits.bytes:
        raise Refused(f"That is too much at once; {limits.lines - 1:,} rows at the most.", field=field)
    text = text.replace("\0", "").replace("\r\n", "\n").replace("\r", "\n")
    head = text.split("\n", 1)[0]
    between = max("\t;,", key=lambda sign: (head.count(sign), sign == "\t"))
    rows: Table = []
    try:
        for row in csv.reader(io.StringIO(text), delimiter=between):
            rows.append(row)
            if len(rows) > limits.lines + 50:
                break
    except csv.Error:
        raise Refused(NOT_READ, field=field) from None
    return _tidy(rows, limits, field=field)


def _decoded(content: bytes) -> str:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return content.decode("utf-16", "replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", "replace")


def _xlsx(content: bytes, limits: Limits) -> Table:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            parts = packed.infolist()
            if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > limits.unpacked:
                raise Refused(
                    f"This file unpacks to far more than a list of {limits.rows}. Save the one sheet alone.",
                    field="file",
                )
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=True, keep_links=False)
        try:
            sheet = book.worksheets[0]
            rows = sheet.iter_rows(max_row=limits.lines + 50, max_col=MOST_CELLS + 5, values_only=True)
            return [[_text(value) for value in row] for row in rows]
        finally:
            book.close()
    except Refused:
        raise
    except Exception:  # whatever a broken or hostile file makes the reader stumble over
        raise Refused(NOT_READ, field="file") from None


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.6f}".rstrip("0").rstrip(".")
    return str(value)


def _tidy(rows: Table, limits: Limits, *, field: str = "file") -> Table:
    """Return the rows that hold anything, in an even width, within the limits."""
    full = [[kept(cell).strip()[:MOST_LETTERS] for cell in row] for row in rows]
    full = [row for row in full if any(row)]
    if not full:
        raise Refused("There is nothing in it.", field=field)
    width = max(max((n for n, cell in enumerate(row, start=1) if cell), default=0) for row in full)
    if len(full) > limits.lines:
        raise Refused(limits.too_many, field=field)
    if width > MOST_CELLS:
        raise Refused(f"{MOST_CELLS} columns at the most.", field=field)
    return [(row + [""] * width)[:width] for row in full]
