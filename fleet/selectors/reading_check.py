"""What a reading says against those before and after it, and what would make a careful person look again."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from fleet.models import Meter, MeterReading
from fleet.numerics.register import DAY_S, MOST_TIMES, Reading, rolled_over, steps_of

AROUND = 40  # readings before that tell what is usual


@dataclass(frozen=True)
class ReadingCheck:
    """Use since the reading before, and each doubt in a word: ``lower``, ``rolled``, ``above``, ``fast``."""

    before: MeterReading | None = None
    after: MeterReading | None = None
    used_l: float | None = None
    days: float = 0.0
    most_l_day: float | None = None
    doubts: tuple[str, ...] = ()

    @property
    def l_day(self) -> float | None:
        """Return the use a day since the reading before. [L/d]"""
        return self.used_l / self.days if self.used_l is not None and self.days > 0 else None


def latest_of(meter: Meter) -> MeterReading | None:
    """Return the newest reading of a meter."""
    return meter.readings.order_by("-read_at").first()


def check_reading(meter: Meter, *, read_at: datetime, value: float, reset: bool = False) -> ReadingCheck:
    """Look at a reading before it is stored.

    ``fast`` is more than four times the fastest use a day so far. Common practice, no source.
    """
    earlier = list(meter.readings.filter(read_at__lt=read_at).order_by("-read_at")[:AROUND])[::-1]
    after = meter.readings.filter(read_at__gt=read_at).order_by("read_at").first()
    if not earlier:
        return ReadingCheck(after=after, doubts=_above(value, after))
    before, days = earlier[-1], (read_at - earlier[-1].read_at).total_seconds() / DAY_S
    fastest = _fastest(earlier, meter)
    if reset:
        return ReadingCheck(before, after, None, days, _a_day(fastest, meter), _above(value, after))
    used, doubts = _used(before, Reading(read_at.timestamp(), value), meter, fastest)
    if used is not None and fastest and used / (days * DAY_S) > MOST_TIMES * fastest:
        doubts = (*doubts, "fast")
    litres = None if used is None else used * meter.l_per_unit
    return ReadingCheck(before, after, litres, days, _a_day(fastest, meter), (*doubts, *_above(value, after)))


def _used(
    before: MeterReading, now: Reading, meter: Meter, fastest: float
) -> tuple[float | None, tuple[str, ...]]:
    if now.value >= before.value:
        return now.value - before.value, ()
    used = rolled_over(Reading(before.read_at.timestamp(), before.value), now, meter.rolls_over_at, fastest)
    return used, ("lower",) if used is None else ("rolled",)


def _above(value: float, after: MeterReading | None) -> tuple[str, ...]:
    return ("above",) if after is not None and not after.reset and value > after.value else ()


def _fastest(readings: Sequence[MeterReading], meter: Meter) -> float:
    steps = steps_of(
        [Reading(r.read_at.timestamp(), r.value, r.reset) for r in readings],
        rolls_over_at=meter.rolls_over_at,
    )
    return max((s.used / (s.end - s.begin) for s in steps if s.used is not None), default=0.0)


def _a_day(fastest: float, meter: Meter) -> float | None:
    return fastest * DAY_S * meter.l_per_unit if fastest else None
