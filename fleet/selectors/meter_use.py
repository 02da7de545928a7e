"""What meters counted: readings, bills and interval data put together, with what is doubtful about them.

Interval data count before register readings, readings before bills. What only one source knows is spread
evenly over its own time, so that days that two sources share never show a jump neither has seen.
"""

from array import array
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Literal, NamedTuple
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from fleet.models import Meter, MeterBill, MeterHour, MeterReading
from fleet.numerics.register import LONG_DAYS, Reading, steps_of
from fleet.numerics.use_spans import Piece, layered, spread, stretches

Origin = Literal["reading", "bill", "interval"]
NOTHING_KNOWN = "no reading, bill or interval data"
AT_ONCE = 20_000
UTC = ZoneInfo("UTC")


@dataclass(frozen=True, order=True)
class Span:
    """What a meter counted from one moment to another. [L]

    ``litres`` is None where that is unknown; ``doubt`` says in words what was assumed or is missing.
    """

    begin: datetime
    end: datetime
    litres: float | None
    origin: Origin
    doubt: str = ""


class Window(NamedTuple):
    """Days to look at, both included; None is without end."""

    first: date | None
    last: date | None


def spans_of(
    meter_ids: Collection[int], *, first: date | None = None, last: date | None = None
) -> dict[int, list[Span]]:
    """Return what each meter counted, in time order and without overlaps, in whole spans that touch the days.

    Interval data come as one span for each unbroken stretch of a day. Between the first and the last that is
    known nothing is left out: what nobody knows is a span without litres that says so. Days and times are
    those of the meter's site.
    """
    meters = _meters(meter_ids)
    found = _pieces(meters, {m: t.site.timezone for m, t in meters.items()}, Window(first, last), whole=True)
    spans: dict[int, list[Span]] = {}
    for pk, meter in meters.items():
        zone = ZoneInfo(meter.site.timezone)
        begin, end = _bounds(Window(first, last), zone)
        spans[pk] = [
            Span(_moment(p.begin, zone), _moment(p.end, zone), p.litres, p.origin, p.doubt)  # type: ignore[arg-type]
            for p in _with_gaps(found[pk])
            if p.end > begin and p.begin < end
        ]
    return {pk: spans.get(pk, []) for pk in meter_ids}


def daily_litres(
    meter_ids: Collection[int], *, first: date, last: date, timezone: str
) -> dict[int, NDArray[np.float64]]:
    """Return the litres each meter counted on each day of a time zone, both dates included.

    Spans are spread evenly over their time, so that a day of 23 or 25 hours gets as much less or more.

    Returns
    -------
    dict of ndarray
        Litres by meter, (days,); NaN where not all of a day is known. [L]
    """
    meters = _meters(meter_ids)
    found = _pieces(meters, dict.fromkeys(meters, timezone), Window(first, last), whole=False)
    edges = midnights(first, last, timezone)
    return {pk: spread(found.get(pk, []), edges) for pk in meter_ids}


def midnights(first: date, last: date, timezone: str) -> NDArray[np.float64]:
    """Return when each day begins and the last one ends, seconds since 1970, (days + 1,)."""
    zone = ZoneInfo(timezone)
    days = max((last - first).days, -1) + 2
    return np.array([_midnight(first + timedelta(days=n), zone) for n in range(days)])


def _midnight(day: date, zone: ZoneInfo) -> float:
    return datetime.combine(day, time(), tzinfo=zone).timestamp()


def _moment(seconds: float, zone: ZoneInfo) -> datetime:
    return datetime.fromtimestamp(seconds, tz=zone)


def _meters(meter_ids: Collection[int]) -> dict[int, Meter]:
    return {m.pk: m for m in Meter.objects.filter(pk__in=meter_ids).select_related("site")}


def _bounds(window: Window, zone: ZoneInfo) -> tuple[float, float]:
    begin = -np.inf if window.first is None else _midnight(window.first, zone)
    end = np.inf if window.last is None else _midnight(window.last + timedelta(days=1), zone)
    return begin, end


def _pieces(
    meters: Mapping[int, Meter], timezones: Mapping[int, str], window: Window, *, whole: bool
) -> dict[int, list[Piece]]:
    """Return each meter's pieces without overlaps; ``whole``: those that reach beyond the window in full."""
    readings, bills = _reading_pieces(meters), _bill_pieces(meters)
    bounds: dict[int, tuple[float, float]] = {}
    for pk in meters:
        begin, end = _bounds(window, ZoneInfo(timezones[pk]))
        touch = [p for p in (*readings[pk], *bills[pk]) if p.end > begin and p.begin < end]
        readings[pk], bills[pk] = (
            [p for p in pieces if p.end > begin and p.begin < end] for pieces in (readings[pk], bills[pk])
        )
        if whole and touch:
            begin, end = min(begin, *(p.begin for p in touch)), max(end, *(p.end for p in touch))
        bounds[pk] = (begin, end)
    hours = _hour_pieces(bounds, timezones)
    return {pk: layered([hours.get(pk, []), readings[pk], bills[pk]]) for pk in meters}


def _reading_pieces(meters: Mapping[int, Meter]) -> dict[int, list[Piece]]:
    rows: dict[int, list[Reading]] = defaultdict(list)
    stored = MeterReading.objects.filter(meter__in=meters).values_list("meter", "read_at", "value", "reset")
    for meter, read_at, value, reset in stored.order_by("meter", "read_at"):
        rows[meter].append(Reading(read_at.timestamp(), value, reset))
    return {
        pk: [
            Piece(s.begin, s.end, None if s.used is None else s.used * meter.l_per_unit, "reading", s.doubt)
            for s in steps_of(rows[pk], rolls_over_at=meter.rolls_over_at)
        ]
        for pk, meter in meters.items()
    }


def _bill_pieces(meters: Mapping[int, Meter]) -> dict[int, list[Piece]]:
    pieces: dict[int, list[Piece]] = {pk: [] for pk in meters}
    stored = MeterBill.objects.filter(meter__in=meters).values_list("meter", "first", "last", "used")
    for pk, first, last, used in stored.order_by("meter", "first"):
        zone = ZoneInfo(meters[pk].site.timezone)
        begin, end = _midnight(first, zone), _midnight(last + timedelta(days=1), zone)
        before = pieces[pk][-1].end if pieces[pk] else begin
        doubts = []
        shared = round((min(before, end) - begin) / 86_400.0)
        if shared > 1:  # the day a meter is read often stands on two bills
            doubts.append(f"shares {shared} days with the bill before")
        if (end - begin) / 86_400.0 > LONG_DAYS:
            doubts.append(f"one bill for {(last - first).days + 1} days; spread evenly")
        begin = max(begin, before)
        if begin < end:
            pieces[pk].append(Piece(begin, end, used * meters[pk].l_per_unit, "bill", "; ".join(doubts)))
    return pieces


def _hour_pieces(
    bounds: Mapping[int, tuple[float, float]], timezones: Mapping[int, str]
) -> dict[int, list[Piece]]:
    found = {}
    for pk, (begins, minutes, litres) in _hours(bounds):
        zone = ZoneInfo(timezones[pk])
        first, last = (_moment(begins[n], zone).date() for n in (0, -1))
        found[pk] = stretches(begins, minutes, litres, breaks=midnights(first, last, timezones[pk]))
    return found


Columns = tuple["array[float]", "array[float]", "array[float]"]


def _hours(bounds: Mapping[int, tuple[float, float]]) -> Iterator[tuple[int, Columns]]:
    """Yield the interval data of each meter that has any, as columns of eight bytes a number."""
    rows = MeterHour.objects.filter(meter__in=bounds).order_by("meter", "begins_at")
    earliest = min((begin for begin, _ in bounds.values()), default=0.0)
    latest = max((end for _, end in bounds.values()), default=0.0)
    if np.isfinite(
        earliest
    ):  # an interval is a day long at most, so one that reaches in began the day before
        rows = rows.filter(begins_at__gt=_moment(earliest, UTC) - timedelta(days=1))
    if np.isfinite(latest):
        rows = rows.filter(begins_at__lt=_moment(latest, UTC))
    of: int | None = None
    columns: Columns = (array("d"), array("d"), array("d"))
    for pk, begins_at, minutes, used_l in rows.values_list(
        "meter", "begins_at", "minutes", "used_l"
    ).iterator(chunk_size=AT_ONCE):
        if pk != of:
            if of is not None:
                yield of, columns
            of, columns = pk, (array("d"), array("d"), array("d"))
        for column, number in zip(columns, (begins_at.timestamp(), minutes, used_l), strict=True):
            column.append(number)
    if of is not None:
        yield of, columns


def _with_gaps(pieces: list[Piece]) -> Iterator[Piece]:
    before: Piece | None = None
    for piece in pieces:
        if before is not None and piece.begin - before.end > 0.5:
            yield Piece(before.end, piece.begin, None, piece.origin, NOTHING_KNOWN)
        yield piece
        before = piece
