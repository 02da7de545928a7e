"""A meter's use as bills: those that came, or readings and interval data put together month by month."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from fleet.selectors.meter_use import Span

LEAST_DAYS = 26  # readings closer together are put together to so many days
MOST_DAYS = 100  # what is longer tells nothing of a season


@dataclass(frozen=True)
class Bill:
    """What a meter used over some days, both included. [L]"""

    first: date
    last: date
    used_l: float

    @property
    def days(self) -> int:
        """Return how many days it covers."""
        return (self.last - self.first).days + 1


def bills_of(spans: Sequence[Span], *, first: date | None = None, last: date | None = None) -> list[Bill]:
    """Return the bills that lie wholly between two days.

    A bill stands as it came. Readings are put together until they cover four weeks, days of interval data
    until a month ends; a gap, or a span nobody knows the water of, ends what was begun without a bill. Spans
    must be in time order; their days are those of the time zone they are told in.
    """
    found: list[Bill] = []
    for run in _unbroken(spans, first, last):
        begun: list[Span] = []
        for span in run:
            if _days(span) > MOST_DAYS or (span.origin == "bill" and begun):
                begun = []
            if _days(span) > MOST_DAYS:
                continue
            begun.append(span)
            if _is_whole(begun):
                bill = Bill(_first(begun[0]), _last(span), sum(one.litres or 0.0 for one in begun))
                found.append(bill)
                begun = []
    return found


def _unbroken(spans: Sequence[Span], first: date | None, last: date | None) -> Iterator[list[Span]]:
    run: list[Span] = []
    for span in spans:
        outside = (first is not None and _first(span) < first) or (last is not None and _last(span) > last)
        if span.litres is None or outside or (run and span.begin - run[-1].end > timedelta(hours=2)):
            yield run
            run = []
        if span.litres is not None and not outside:
            run.append(span)
    yield run


def _is_whole(begun: Sequence[Span]) -> bool:
    days = (begun[-1].end - begun[0].begin).total_seconds() / 86_400
    if begun[-1].origin == "bill":
        return True
    if begun[-1].origin == "reading":
        return days >= LEAST_DAYS
    return days >= LEAST_DAYS and (_last(begun[-1]) + timedelta(days=1)).day == 1


def _days(span: Span) -> float:
    return (span.end - span.begin).total_seconds() / 86_400


def _first(span: Span) -> date:
    """Return the day a span begins on: one that begins in the afternoon counts from the next."""
    return (span.begin + timedelta(hours=12)).date()


def _last(span: Span) -> date:
    """Return the day before the one it ends on, or that one if it ends in its second half."""
    return (span.end + timedelta(hours=12)).date() - timedelta(days=1)
