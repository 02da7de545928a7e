"""A program's start as people type it: ``4:30``, ``4:30 am``, ``16:30`` or ``4 p.m.``."""

import re
from datetime import time

from desk import dates

START = re.compile(r"(?P<hour>[0-9]{1,2})(?::(?P<minute>[0-9]{2}))?\s*(?P<half>[ap])?\.?m?\.?", re.IGNORECASE)
HALF = re.compile(r"(?<=[0-9])\s+(?=[ap]\.?m?\.?(?:[\s,;]|$))", re.IGNORECASE)


def start_of(text: str) -> str | None:
    """Return a start as ``HH:MM``, None where it isn't one.

    >>> start_of("4:30 pm"), start_of("12 am"), start_of("16:05"), start_of("13 pm")
    ('16:30', '00:00', '16:05', None)
    """
    found = START.fullmatch(text.strip())
    if found is None:
        return None
    hour, minute = int(found["hour"]), int(found["minute"] or 0)
    half = (found["half"] or "").lower()
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half == "p" else 0)
    return f"{hour:02d}:{minute:02d}" if hour <= 23 and minute <= 59 else None


def starts_in(text: str) -> list[str]:
    """Return the starts of a line, spaces or commas between; what is none stays as it was typed.

    >>> starts_in("2:30 am, 4:10 PM 05:00 soon")
    ['02:30', '16:10', '05:00', 'soon']
    """
    words = HALF.sub("", text).replace(",", " ").replace(";", " ").split()
    return [start_of(word) or word for word in words]


def starts_line(starts: list[str], units: str) -> str:
    """Return starts as they would be typed: with am and pm where the company writes so.

    >>> starts_line(["03:49", "16:10"], "us"), starts_line(["03:49", "16:10"], "metric")
    ('3:49 am, 4:10 pm', '03:49 16:10')
    """
    if units != "us":
        return " ".join(starts)
    return ", ".join(
        dates.clock_time(time.fromisoformat(one), units).replace(dates.NBSP, " ") for one in starts
    )
