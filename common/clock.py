"""The business day: which date the service works on, as opposed to real time.

Timestamps, tokens and sessions use real time. Decisions use the business day: the setting ``AS_OF`` if it
is set (a demo or a replay that always lives on one date), else the local date in the site's time zone.
"""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils import timezone as real_time


def today(timezone: str) -> date:
    """Return the business day in an IANA time zone."""
    as_of: date | None = settings.AS_OF
    return as_of or real_time.now().astimezone(ZoneInfo(timezone)).date()


def moment(on: date, timezone: str, *, at: time = time(5, 0)) -> datetime:
    """Return when a decision for ``on`` is made: now if that is really today, else ``at`` local time."""
    zone = ZoneInfo(timezone)
    now = real_time.now()
    if on == now.astimezone(zone).date():
        return now
    return datetime.combine(on, at, tzinfo=zone)


def known_by(on: date, timezone: str, *, at: time = time(12, 0)) -> datetime:
    """Return the latest moment whose knowledge a decision of the morning of ``on`` may use.

    On the real today that is now, so that a forecast fetched a moment ago counts; on any other day it is
    ``at`` local time, so that a replay never sees a later forecast.
    """
    zone = ZoneInfo(timezone)
    now = real_time.now()
    if on == now.astimezone(zone).date():
        return now
    return datetime.combine(on, at, tzinfo=zone)


def days(first: date, last: date) -> list[date]:
    """Return every date from ``first`` to ``last``, both included; empty if ``last`` is earlier."""
    return [first + timedelta(days=i) for i in range((last - first).days + 1)]
