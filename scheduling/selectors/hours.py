"""The hours of a night in which a rule lets a site be watered."""

from collections.abc import Sequence
from datetime import date, time

from fleet.models import WateringRule
from fleet.models.rules import WEEKDAYS
from scheduling.selectors.night_clock import NightClock

Span = tuple[float, float]


def allowed_spans(rule: WateringRule | None, clock: NightClock) -> list[Span]:
    """Return the spans of a night in which watering is allowed, in minutes after its noon.

    A rule without an hour to begin allows from noon on, one without an hour to end until the next noon.
    """
    night = (0.0, clock.minutes)
    if rule is None or (rule.hours_from is None and rule.hours_to is None):
        return [night]
    begin = _minute(rule.hours_from, clock) if rule.hours_from is not None else 0.0
    end = _minute(rule.hours_to, clock) if rule.hours_to is not None else clock.minutes
    end = end or clock.minutes  # until noon
    if begin == end:
        return [night]
    if begin < end:
        return [(begin, end)]
    return [(0.0, end), (begin, clock.minutes)]  # allowed by day: until the evening, and again from morning


def outside_of(span: Span, allowed: Sequence[Span]) -> list[Span]:
    """Return the parts of a span outside ``allowed``, which is sorted and doesn't overlap."""
    parts, begin = [], span[0]
    for first, last in allowed:
        if first - begin > 1e-6 and first < span[1]:
            parts.append((begin, first))
        begin = max(begin, last) if first < span[1] else begin
    if span[1] - begin > 1e-6:
        parts.append((begin, span[1]))
    return parts


def day_allowed(rule: WateringRule | None, day: date) -> bool:
    """Tell whether a rule lets a site be watered on a date."""
    if rule is None:
        return True
    if rule.weekdays and WEEKDAYS[day.weekday()] not in rule.weekdays.split():
        return False
    return rule.parity == WateringRule.Parity.ANY or (day.day % 2 == 1) == (
        rule.parity == WateringRule.Parity.ODD
    )


def _minute(at: time, clock: NightClock) -> float:
    return clock.minute_of(clock.start(at))
