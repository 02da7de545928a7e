"""Reading what a form sent, without trusting it."""

from datetime import date

from django.http.request import QueryDict

from common.errors import Refused
from common.units import L_PER_GALLON, MM_PER_INCH

MANY = 1000
LARGEST = 9_223_372_036_854_775_807


def row_ids(query: QueryDict, name: str) -> list[int]:
    """Return the row numbers posted under a name, in order, each once; anything else is left out."""
    texts = [text for text in query.getlist(name)[:MANY] if text.isascii() and text.isdecimal()]
    numbers = (int(text) for text in texts if len(text) <= len(str(LARGEST)))
    return list(dict.fromkeys(number for number in numbers if number <= LARGEST))


def numbers(query: QueryDict, name: str) -> list[int]:
    """Return the row numbers a form carried along in one text, with spaces between, in order, each once."""
    texts = query.get(name, "").split()
    kept = (text for text in texts if text.isascii() and text.isdecimal() and len(text) < len(str(LARGEST)))
    return list(dict.fromkeys(map(int, kept)))


def count(query: QueryDict, name: str) -> int:
    """Return a whole number a form carried along, 0 for anything else."""
    return next(iter(row_ids(query, name)), 0)


def percent(text: str) -> int | None:
    """Return a typed percent, or None where nothing was typed.

    Raises
    ------
    Refused
        If it isn't a whole number.
    """
    text = text.strip().rstrip("%").strip()
    if not text:
        return None
    if not (text.isascii() and text.isdecimal()) or len(text) > 4:
        raise Refused("Type a whole number of percent, for example 85.", field="value")
    return int(text)


def depth_mm(text: str, *, units: str) -> float | None:
    """Return a typed depth of water in millimetres, or None where nothing was typed.

    Raises
    ------
    Refused
        If it isn't a number.
    """
    example = "0.35" if units == "us" else "9"
    words = f"Type how much stood in the gauge, for example {example}."
    typed = _amount(text, ("mm", "in"), words=words, field="gauge")
    return typed if typed is None or units != "us" else typed * MM_PER_INCH


def volume_l(text: str, *, units: str) -> float | None:
    """Return a typed amount of water in litres, or None where nothing was typed.

    Raises
    ------
    Refused
        If it isn't a number.
    """
    words = "Type how much water it loses in a day as a number, or leave it empty."
    typed = _amount(text, ("gal", "l", "L"), words=words, field="lost")
    return typed if typed is None or units != "us" else typed * L_PER_GALLON


def line(text: str) -> str:
    """Return what was typed into one line, without what no database takes."""
    return text.replace("\0", "").strip()


def _amount(text: str, units: tuple[str, ...], *, words: str, field: str) -> float | None:
    text = text.strip()
    for unit in units:
        text = text.removesuffix(unit)
    text = text.strip().replace(",", ".")
    if not text:
        return None
    if len(text) > 9 or not (text.isascii() and text.replace(".", "", 1).isdecimal()):
        raise Refused(words, field=field)
    return float(text)


def day(text: str) -> date | None:
    """Return a typed date, or None where nothing was typed.

    Raises
    ------
    Refused
        If it isn't a date.
    """
    if not text.strip():
        return None
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        words = "Type the date as year-month-day, for example 2026-07-14."
        raise Refused(words, field="applied_on") from None
