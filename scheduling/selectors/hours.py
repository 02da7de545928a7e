"""The hours of a night in which a rule lets a site be watered, as minutes after its noon."""

from collections.abc import Sequence
from datetime import date, time
from functools import lru_cache

from fleet.models import WateringRule
from fleet.selectors.site_rule import Hours, day_allowed, hours_of
from scheduling.selectors.night_clock import NOON, NightClock

__all__ = ["Span", "allowed_spans", "day_allowed", "outside_of", "spans_in", "watering_over"]
Span = tuple[float, float]


def allowed_spans(rule: WateringRule | None, clock: NightClock) -> list[Span]:
    """Return the spans of a night in which watering is allowed, in minutes after its noon.

    A rule of one span without an hour to begin allows from noon on, one without an hour to end until the next
    noon.
    """
    return list(spans_in(hours_of(rule), clock.night, clock.timezone))


@lru_cache(maxsize=8192)
def spans_in(hours: Hours, night: date, timezone: str) -> tuple[Span, ...]:
    """Return the spans of a night in some hours of the day, sorted and apart; the whole night without any.

    Minutes really pass: a night in which the clock jumps is as much shorter or longer.
    """
    clock = NightClock(night, timezone)
    whole = ((0.0, clock.minutes),)
    spans: list[Span] = []
    for begins, ends in hours:
        begin = _minute(begins, clock) if begins is not None else 0.0
        end = _minute(ends, clock) if ends is not None else clock.minutes
        end = end or clock.minutes  # until noon
        if begins == ends or (begin, end) == whole[0]:
            return whole
        # Where it is allowed by day: until the evening, and again from the morning.
        spans += [(begin, end)] if _in_order(begins, ends, clock) else [(0.0, end), (begin, clock.minutes)]
    return tuple(_joined(spans)) if hours else whole


def _in_order(begins: time | None, ends: time | None, clock: NightClock) -> bool:
    """Tell whether hours begin before they end, by the wall: where the clock jumps both may be one moment."""
    if begins is None or ends is None or ends == NOON:
        return True
    return (clock.day_of(begins), begins) < (clock.day_of(ends), ends)


def watering_over(spans: Sequence[Span], at: float) -> float:
    """Return until when what was asked to start at a minute may water.

    That is the end of the span it starts in, or of the next one; after the last, that one's end, so that
    nothing fits; 0 in a night without any.
    """
    return next((end for _, end in spans if end > at), spans[-1][1] if spans else 0.0)


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


def _joined(spans: Sequence[Span]) -> list[Span]:
    joined: list[Span] = []
    for begin, end in sorted(spans):
        if end <= begin:
            continue
        if joined and begin <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((begin, end))
    return joined


def _minute(at: time, clock: NightClock) -> float:
    return clock.minute_of(clock.start(at))
