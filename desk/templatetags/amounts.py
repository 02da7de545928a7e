"""Template filters for amounts and dates; the company's units are their argument."""

from datetime import date, datetime, time
from typing import Any

from django import template

from desk import dates, field_words, figures
from scheduling.models import Change, ChangeEvent, FieldEntry

register = template.Library()
STATUS_WORDS = dict(Change.Status.choices)

for _name in ("water", "exact_water", "depth", "rate", "area", "flow", "temperature", "wind"):
    register.filter(_name, getattr(figures, _name))
for _name in ("root_depth", "pressure"):
    register.filter(_name, getattr(figures, _name))
for _name in ("percent", "share"):
    register.filter(_name, getattr(figures, _name))
for _name in ("day", "long_day", "long_date", "clock_time"):
    register.filter(_name, getattr(dates, _name))
for _name in ("duration", "watering_days"):
    register.filter(_name, getattr(dates, _name))


@register.filter
def water_change(litres: float | None, units: str) -> str:
    """Return an amount of water with its sign."""
    return figures.water(litres, units, signed=True)


@register.filter
def saved_words(litres: float, units: str) -> str:
    """Return an amount of water that is saved, or taken besides where it is below zero."""
    if not litres:
        return "as much as now"
    return figures.water(abs(litres), units) + (" more" if litres < 0 else "")


@register.filter
def depth_change(mm: float | None, units: str) -> str:
    """Return a depth with its sign."""
    return figures.depth(mm, units, signed=True)


@register.filter
def start_time(text: str, units: str) -> str:
    """Return a program's start, stored as ``HH:MM``."""
    return dates.clock_time(time.fromisoformat(text), units)


@register.simple_tag
def moment(value: datetime | None, timezone: str, units: str) -> str:
    """Return a moment in a site's own time."""
    return dates.moment(value, timezone, units)


@register.filter
def place_time(timezone: str) -> str:
    """Return a time zone in words."""
    return dates.place_time(timezone)


@register.simple_tag
def night_dates(first: date, last: date | None, units: str) -> str:
    """Return the dates of a skip's nights, for those weeks ahead, where a weekday alone isn't enough."""
    days = [dates.day(first, units), *([dates.day(last, units)] if last not in (None, first) else [])]
    return " to ".join(days)


@register.simple_tag
def nights(first: date, last: date | None) -> str:
    """Return the nights of a skip in words."""
    return dates.nights(first, last)


@register.simple_tag
def money_words(litres: float | None, amount: Any, currency: str) -> str:
    """Return what a change is worth: the sign follows the water, the sum is shown without one."""
    if amount is None or not float(amount) or not litres:
        return ""
    # a week's cents are no reason for anybody's walk: they are told as little, not to the cent
    small = abs(float(amount)) < 1
    sum_of_money = f"under {figures.money(1, currency)}" if small else figures.money(float(amount), currency)
    return f"saves {sum_of_money}" if litres < 0 else f"costs {sum_of_money}"


@register.filter
def counted(number: int, word: str) -> str:
    """Return ``1 change`` or ``31 changes``."""
    return f"{number:,} {word}{'' if number == 1 else 's'}"


@register.filter
def negated(value: float) -> float:
    """Return a number with its sign turned."""
    return -value


@register.filter
def iso_day(text: str, units: str) -> str:
    """Return a day that was stored as text."""
    return dates.day(date.fromisoformat(text), units)


@register.simple_tag
def event_words(event: ChangeEvent) -> str:
    """Return one step in a change's life in words."""
    if event.to_status == Change.Status.PENDING:
        return "taken back" if event.from_status else "proposed"
    return status_words(event.to_status)


@register.filter
def status_words(status: str) -> str:
    """Return a change's status in words."""
    return STATUS_WORDS.get(status, status)


@register.filter
def short_night(value: date, units: str) -> str:
    """Return a night's date for a narrow column: ``Tue 14``."""
    return f"{value:%a} {value.day}"


@register.filter
def money(amount: Any, currency: str) -> str:
    """Return a sum of money."""
    return figures.money(float(amount), currency)


@register.simple_tag
def savings_money(amount: Any, currency: str) -> str:
    """Return what saved water was worth, nothing where its price isn't known."""
    if amount is None:
        return ""
    return f"{'costs' if amount < 0 else 'worth'} {figures.money(float(amount), currency)}"


@register.simple_tag
def by_hour(latest: datetime, timezone: str, units: str) -> str:
    """Return until when something is of use, in the site's own time: ``before 21:40 tonight``."""
    return dates.before(latest, timezone, units)


@register.simple_tag
def entered_words(entry: FieldEntry, units: str) -> str:
    """Return what was entered on the field sheet in a few words."""
    return field_words.entry_words(entry, units)
