"""What was entered on the field sheet, in words."""

from collections.abc import Callable
from datetime import date
from typing import Any

from desk import dates, figures
from fleet.services.facts import TRIMS
from scheduling.models import FieldEntry
from scheduling.services.field_notes import Noted

Kind = FieldEntry.Kind
COUNTS = (Kind.SOIL, Kind.TRIM, Kind.RAIN)


def noted_words(noted: Noted, *, units: str) -> str:
    """Return what was stored, or that it had been before."""
    if noted.entry is None:
        return "That was noted already; nothing was changed."
    tail = " It counts from tomorrow's decision on." if noted.entry.kind in COUNTS else ""
    return f"{entry_words(noted.entry, units)}.{tail}"


def entry_words(entry: FieldEntry, units: str) -> str:
    """Return one entry in a few words."""
    return WAYS[entry.kind](entry, units)


def _change(entry: FieldEntry, units: str) -> str:
    return f"{entry.site}, {entry.about}: entered"


def _soil(entry: FieldEntry, units: str) -> str:
    return f"Zone {entry.about}: {entry.after['how'].removeprefix('probe: ')}"


def _trim(entry: FieldEntry, units: str) -> str:
    words = {factor: said for said, factor in TRIMS.values()}
    factor = entry.after["factor"]
    return f"Zone {entry.about}: {words.get(factor, f'× {factor:g}')} from today on, {entry.after['reason']}"


def _rain(entry: FieldEntry, units: str) -> str:
    said: dict[str, Any] = entry.after
    gauge = f"the gauge read {figures.depth(said['rain_mm'], units)}"
    how = gauge if said["how"] == "gauge" else "no rain"
    return f"{entry.about}: {how} on {dates.day(date.fromisoformat(str(said['date'])), units)}"


def _finding(entry: FieldEntry, units: str) -> str:
    return f"Broken: {entry.about}"


def _mended(entry: FieldEntry, units: str) -> str:
    return f"Mended: {entry.about}"


def _visit(entry: FieldEntry, units: str) -> str:
    return f"Visit done: {entry.about}"


WAYS: dict[str, Callable[[FieldEntry, str], str]] = {
    Kind.CHANGE: _change,
    Kind.SOIL: _soil,
    Kind.TRIM: _trim,
    Kind.RAIN: _rain,
    Kind.FINDING: _finding,
    Kind.MENDED: _mended,
    Kind.VISIT: _visit,
}
