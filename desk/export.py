"""Tables as CSV that a spreadsheet opens as text and figures, never as formulas."""

import csv
from collections.abc import Iterable, Sequence
from typing import Any

from django.http import HttpResponse

FORMULA = ("=", "+", "-", "@", "\t", "\r")
BOM = "\ufeff"  # so that spreadsheets read UTF-8


def harmless(value: Any) -> Any:
    """Return a cell's text so that no spreadsheet runs it; figures stay figures."""
    if isinstance(value, str):
        text = value.replace("\0", "")
        return f"'{text}" if text.lstrip(" \n").startswith(FORMULA) else text
    return value


def csv_answer(name: str, heads: Sequence[str], rows: Iterable[Sequence[Any]]) -> HttpResponse:
    """Return rows as a file to save; ``name`` is plain ASCII, without its ending."""
    answer = HttpResponse(content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    answer.write(BOM)
    table = csv.writer(answer)
    table.writerow(heads)
    table.writerows([harmless(cell) for cell in row] for row in rows)
    return answer
