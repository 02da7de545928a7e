"""Reading what a form sent, without trusting it."""

from datetime import date

from django.http.request import QueryDict

from common.errors import Refused
from common.units import MM_PER_INCH

MANY = 1000
LARGEST = 9_223_372_036_854_775_807


def row_ids(query: QueryDict, name: str) -> list[int]:
    """Return the row numbers posted under a name, in order, each once; anything else is left out."""
    texts = [text for text in query.getlist(name)[:MANY] if text.isascii() and text.isdecimal()]
    return list(dict.fromkeys(number for number in map(int, (t[:20] for t in texts)) if number <= LARGEST))


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
    text = text.strip().removesuffix("mm").removesuffix("in").strip().replace(",", ".")
    if not text:
        return None
    if len(text) > 8 or not (text.isascii() and text.replace(".", "", 1).isdecimal()):
        example = "0.35" if units == "us" else "9"
        raise Refused(f"Type how much stood in the gauge, for example {example}.", field="gauge")
    return float(text) * (MM_PER_INCH if units == "us" else 1.0)


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
