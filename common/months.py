"""Calendar months by their first day."""

from calendar import monthrange
from datetime import date, timedelta


def last_of_month(day: date) -> date:
    """Return the last day of the month a day lies in."""
    return day.replace(day=monthrange(day.year, day.month)[1])


def month_after(day: date) -> date:
    """Return the first day of the month after the one a day lies in."""
    return last_of_month(day) + timedelta(days=1)


def month_before(day: date) -> date:
    """Return the first day of the month before the one a day lies in."""
    return (day.replace(day=1) - timedelta(days=1)).replace(day=1)
