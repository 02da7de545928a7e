"""Tables to take away, as CSV or XLSX. A text that a spreadsheet could run as a formula is kept a text."""

import csv
import re
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from itertools import chain
from tempfile import TemporaryFile
from typing import IO, Any

from django.http import FileResponse, StreamingHttpResponse
from django.utils.http import content_disposition_header
from django.utils.text import slugify
from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.cell.cell import TYPE_STRING

from common import units as convert

Cell = str | int | float | date | None
Rows = Iterable[Sequence[Cell]]

# What opens a formula in one spreadsheet or another, plain or full-width.
OPENS_A_FORMULA = frozenset("=+-@\t\r\n＝＋－＠")
NOT_IN_A_SHEET = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
BOM = "\ufeff"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def file_name(what: str, company: str, on: date, kind: str) -> str:
    """Return ``clients-larkspur-irrigation-2026-07-14.csv``."""
    name = slugify(company, allow_unicode=True)[:60].strip("-") or "company"
    return f"{what}-{name}-{on.isoformat()}.{kind}"


def as_file(kind: str, head: Sequence[str], rows: Rows, *, name: str, title: str) -> Any:
    """Send a table as ``csv`` or as ``xlsx``."""
    if kind == "csv":
        return as_csv(head, rows, name=name)
    return as_xlsx(head, rows, name=name, title=title)


def as_csv(head: Sequence[str], rows: Rows, *, name: str) -> Any:
    """Send a table as CSV, line by line: UTF-8 with a mark, so that spreadsheets read it as such."""
    answer = StreamingHttpResponse(_lines(head, rows), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = str(content_disposition_header(True, name))
    return answer


def as_xlsx(head: Sequence[str], rows: Rows, *, name: str, title: str) -> Any:
    """Send a table as XLSX. It is written to a file that goes with the answer, never held in memory."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet(title)
    sheet.freeze_panes = "B2"
    for line in chain([head], rows):
        sheet.append([_told(sheet, value) for value in line])
    file: IO[bytes] = TemporaryFile()  # noqa: SIM115  the answer closes it
    book.save(file)
    file.seek(0)
    return FileResponse(file, as_attachment=True, filename=name, content_type=XLSX)


def _lines(head: Sequence[str], rows: Rows) -> Iterator[str]:
    writer = csv.writer(_Passed())
    yield BOM + writer.writerow([safe(word) for word in head])
    for row in rows:
        yield writer.writerow([safe(value) for value in row])


class _Passed:
    """Hands every line back to whoever wrote it."""

    def write(self, line: str) -> str:
        return line


def safe(value: Cell) -> Cell:
    """Return a value for CSV: numbers as they are, a text that opens a formula behind an apostrophe."""
    if isinstance(value, str):
        text = NOT_IN_A_SHEET.sub("", value)
        return f"'{text}" if opens_a_formula(text) else text
    return value.isoformat() if isinstance(value, date) else value


def _told(sheet: Any, value: Cell) -> Any:
    """Return a value for XLSX: a text is always stored as a text, whatever it begins with."""
    if not isinstance(value, str):
        return value
    text = NOT_IN_A_SHEET.sub("", value)
    cell = WriteOnlyCell(sheet, text)
    cell.data_type = TYPE_STRING
    cell.quotePrefix = opens_a_formula(text)
    return cell


def opens_a_formula(text: str) -> bool:
    """Tell whether a spreadsheet could take a text for a formula; spaces before it are looked through."""
    return not OPENS_A_FORMULA.isdisjoint({text[:1], text.strip()[:1]})


def water_cell(litres: float | None, units: str) -> float | None:
    """Return an amount of water as a number: gallons or cubic metres."""
    if litres is None:
        return None
    return round(litres / convert.L_PER_GALLON, 1) if units == "us" else round(litres / convert.L_PER_M3, 3)


def percent_cell(share: float | None) -> float | None:
    """Return a share as a percent."""
    return None if share is None else round(100 * share, 1)
