"""The demo's date, and moments counted from it."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings

TIMEZONE = "America/Los_Angeles"
DEMO_DATE = date(2026, 7, 14)


@dataclass(frozen=True)
class Calendar:
    """Days and moments as seen from the morning of ``on``."""

    on: date

    def ago(self, days: int) -> date:
        """Return the date some days before."""
        return self.on - timedelta(days=days)

    def ahead(self, days: int) -> date:
        """Return the date some days later."""
        return self.on + timedelta(days=days)

    def moment(self, day: date, at: str) -> datetime:
        """Return a clock time (``HH:MM``) of a day in the demo's time zone."""
        return datetime.combine(day, time.fromisoformat(at), tzinfo=ZoneInfo(TIMEZONE))


def demo_calendar() -> Calendar:
    """Return the calendar of the business day the service is set to, else of the demo's own date."""
    return Calendar(settings.AS_OF or DEMO_DATE)
