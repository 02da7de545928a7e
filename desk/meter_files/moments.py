"""Dates and times as tables write them."""

import re
from datetime import UTC, date, datetime, time, timedelta, timezone
from zoneinfo import ZoneInfo

from common.errors import Refused

NUMBERS = re.compile(r"([0-9]{1,4})[-/. ]([0-9]{1,2})[-/. ]([0-9]{1,4})")
NAMED = re.compile(
    r"(?:([0-9]{1,2})[-. ])?([A-Za-z]{3,9})\.?[-. ](?:([0-9]{1,2})(?:st|nd|rd|th)?,?[-. ]+)?([0-9]{2,4})"
)
CLOCK = re.compile(r"([0-9]{1,2})(?::([0-9]{2}))?(?::([0-9]{2})(?:\.[0-9]+)?)?\s*([AaPp])?\.?[Mm]?\.?")
OFFSET = re.compile(r"(Z|[-+][0-9]{2}:?[0-9]{2})$")
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
EARLIEST, LATEST = 1970, 2199


def day_of(text: str, order: str) -> date:
    """Return a date written in figures or with the month's name; ``order`` is ``mdy`` or ``dmy``.

    Raises
    ------
    Refused
        If it can't be read.
    """
    text = text.strip()
    try:
        year, month, day = _parts(text, order)
        year += 2000 if year < 100 else 0
        if not EARLIEST <= year <= LATEST:
            raise ValueError
        return date(year, month, day)
    except ValueError:
        shape = "month/day/year" if order == "mdy" else "day/month/year"
        raise Refused(f"“{text[:30]}” is no date as year-month-day or {shape}.") from None


def _parts(text: str, order: str) -> tuple[int, int, int]:
    if found := NUMBERS.fullmatch(text):
        a, b, c = (int(part) for part in found.groups())
        if len(found[1]) == 4:
            return a, b, c
        return (c, a, b) if order == "mdy" else (c, b, a)
    if len(text) == 8 and text.isascii() and text.isdecimal():
        return int(text[:4]), int(text[4:6]), int(text[6:])
    if found := NAMED.fullmatch(text):
        before, name, after, year = found.groups()
        if name[:3].lower() in MONTHS and bool(before) != bool(after):
            return int(year), MONTHS.index(name[:3].lower()) + 1, int(before or after)
    raise ValueError(text)


def clock_of(text: str) -> timedelta:
    """Return a time of day since midnight: ``17:05``, ``5:05 pm``, ``24:00``; Refused if it can't be read."""
    found = CLOCK.fullmatch(text.strip())
    if found:
        hour, minute, second = int(found[1]), int(found[2] or 0), int(found[3] or 0)
        half = (found[4] or "").lower()
        if half and 1 <= hour <= 12:
            hour = hour % 12 + (12 if half == "p" else 0)
        elif half:
            hour = 99
        if minute < 60 and second < 60 and (hour < 24 or (hour, minute, second) == (24, 0, 0)):
            return timedelta(hours=hour, minutes=minute, seconds=second)
    raise Refused(f"“{text[:30]}” is no time of day, such as 17:05 or 5:05 pm.")


def moment_of(text: str, order: str) -> datetime:
    """Return a date and time in one text, with its offset if it names one; a date alone is its midnight.

    Raises
    ------
    Refused
        If it can't be read.
    """
    text = text.strip()
    try:  # the usual way, and the quickest
        found = datetime.fromisoformat(text)
        if EARLIEST <= found.year <= LATEST:
            return found
    except ValueError:
        pass
    offset = OFFSET.search(text) if ":" in text else None
    bare = text[: offset.start()].strip() if offset else text
    day, _, clock = bare.replace("T", " ").partition(" ") if ":" in bare else (bare, "", "")
    whole = datetime.combine(day_of(day, order), time()) + (clock_of(clock) if clock else timedelta())
    if offset is None:
        return whole
    zone = datetime.fromisoformat(f"2000-01-01T00:00{offset[1]}").tzinfo
    return whole.replace(tzinfo=zone)


class Clock:
    """Puts times of one meter, row by row, into the time zone of its site."""

    def __init__(self, zone: str, *, standard: bool) -> None:
        self.zone = ZoneInfo(zone)
        self.standard = standard
        self.before: datetime | None = None

    def placed(self, moment: datetime) -> datetime:
        """Return a moment in UTC.

        An hour that comes twice in autumn is the first one, or the second where that would not follow.

        Raises
        ------
        Refused
            If clocks skip that time in spring.
        """
        if moment.tzinfo is None:
            moment = self._standard(moment) if self.standard else self._local(moment)
        self.before = moment.astimezone(UTC)
        return self.before

    def _standard(self, moment: datetime) -> datetime:
        local = moment.replace(tzinfo=self.zone)
        offset = (local.utcoffset() or timedelta()) - (local.dst() or timedelta())
        return moment.replace(tzinfo=timezone(offset))

    def _local(self, moment: datetime) -> datetime:
        first = moment.replace(tzinfo=self.zone, fold=0)
        second = moment.replace(tzinfo=self.zone, fold=1)
        if first.utcoffset() == second.utcoffset():
            return first
        back = datetime.fromtimestamp(first.timestamp(), tz=self.zone).replace(tzinfo=None)
        if back != moment:
            raise Refused(
                f"Clocks skip {moment:%H:%M} on that day. If the file keeps standard time all year, "
                "say so above."
            )
        late = self.before is not None and first.timestamp() <= self.before.timestamp()
        return second if late else first
