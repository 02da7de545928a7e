"""Dates and times as people read them where they work: month first and am/pm with US customary units."""

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from common import clock

NBSP = "\u00a0"
EVENING = 17


def day(value: date | None, units: str = "metric") -> str:
    """Return ``Tue 14 Jul`` or ``Tue Jul 14``."""
    if value is None:
        return "–"
    return f"{value:%a}{NBSP}{_month_day(value, units, '%b')}"


def long_day(value: date, units: str = "metric") -> str:
    """Return ``Tuesday 14 July`` or ``Tuesday, July 14``."""
    comma = "," if units == "us" else ""
    return f"{value:%A}{comma} {_month_day(value, units, '%B')}"


def long_date(value: date, units: str = "metric") -> str:
    """Return ``14 July`` or ``July 14``, without the weekday."""
    return _month_day(value, units, "%B")


def _month_day(value: date, units: str, month: str) -> str:
    return f"{value:{month}}{NBSP}{value.day}" if units == "us" else f"{value.day}{NBSP}{value:{month}}"


def clock_time(value: time | datetime | None, units: str = "metric") -> str:
    """Return ``17:05`` or ``5:05 pm``."""
    if value is None:
        return "–"
    if units == "us":
        return f"{value.hour % 12 or 12}:{value.minute:02d}{NBSP}{'am' if value.hour < 12 else 'pm'}"
    return f"{value.hour}:{value.minute:02d}"


def moment(value: datetime | None, timezone: str, units: str = "metric") -> str:
    """Return a moment in a site's own time: ``Tue 14 Jul 5:10``."""
    if value is None:
        return "–"
    local = value.astimezone(ZoneInfo(timezone))
    return f"{day(local.date(), units)} {clock_time(local, units)}"


def before(latest: datetime, timezone: str, units: str = "metric") -> str:
    """Return ``before 21:40 tonight``, ``before 3:00 tomorrow`` or ``before 3:00 on Thu 16 Jul``."""
    local = latest.astimezone(ZoneInfo(timezone))
    away = (local.date() - clock.today(timezone)).days
    near = {0: "tonight" if local.hour >= EVENING else "today", 1: "tomorrow"}
    return f"before {clock_time(local, units)} {near.get(away, f'on {day(local.date(), units)}')}"


def nights(first: date, last: date | None) -> str:
    """Return ``Thu night`` or ``Thu to Sat nights``."""
    if last is None or last == first:
        return f"{first:%a} night"
    return f"{first:%a} to {last:%a} nights"


def duration(minutes: float | None) -> str:
    """Return ``3 h 05 min``."""
    if minutes is None:
        return "–"
    hours, rest = divmod(round(minutes), 60)
    return f"{hours}{NBSP}h{NBSP}{rest:02d}{NBSP}min" if hours else f"{rest}{NBSP}min"


def watering_days(pattern: str) -> str:
    """Return a program's watering days in words."""
    known = {"daily": "every day", "odd": "odd dates", "even": "even dates"}
    return known.get(pattern) or " ".join(word.capitalize() for word in pattern.split())


def place_time(timezone: str) -> str:
    """Return a time zone in words: ``America/Los_Angeles`` is Los Angeles time."""
    place = timezone.rpartition("/")[2].replace("_", " ")
    return f"{place} time" if "/" in timezone else place
