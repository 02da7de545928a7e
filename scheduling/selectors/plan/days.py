"""Watering days: the fewest a rule allows whose longest gap the soil bridges."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from fleet.models import WateringRule
from fleet.models.rules import WEEKDAYS
from scheduling.numerics.watering_days import WEEK, fewest_days, longest_gap

# Longest and mean time between dates, and the usual one. Odd dates: 186.25 a mean year; even ones 179, and 3
# days apart over the end of a month of 31 days.
_DATES = {
    "daily": (1.0, 1.0, (1,)),
    "odd": (2.0, 365.25 / 186.25, (2,)),
    "even": (3.0, 365.25 / 179.0, (2,)),
}


@dataclass(frozen=True)
class Pattern:
    """Watering days as ``Program.days`` writes them; longest, mean and each time between two. [d]"""

    days: str
    longest_gap: float
    mean_gap: float
    gaps: tuple[int, ...]


DATES = (WateringRule.Parity.ODD, WateringRule.Parity.EVEN)


def pattern(days: str) -> Pattern:
    """Return the gaps of some watering days."""
    if days in _DATES:
        return Pattern(days, *_DATES[days])
    weekdays = sorted({WEEKDAYS.index(word) for word in days.split()})
    following = [*weekdays[1:], weekdays[0] + WEEK]
    gaps = tuple(after - day for day, after in zip(weekdays, following, strict=True))
    return Pattern(_written(weekdays), longest_gap(weekdays), WEEK / len(weekdays), gaps)


def patterns_for(
    intervals: Sequence[float], loads: Sequence[float], rule: WateringRule | None
) -> list[Pattern] | None:
    """Return the watering days of several programs, or None where a rule allows none.

    Parameters
    ----------
    intervals
        Longest gap the soil of each program bridges, 1 or more. [d]
    loads
        How much each waters, to spread programs over the week. Where a rule counts the days of a week, all
        programs share the same ones instead.
    rule
        The site's watering rule.
    """
    if rule is not None and rule.parity in DATES and not rule.weekdays:
        return None if rule.days_per_week == 0 else [pattern(str(rule.parity))] * len(intervals)
    named = rule.weekdays.split() if rule is not None and rule.weekdays else list(WEEKDAYS)
    allowed = [WEEKDAYS.index(word) for word in named]
    most = rule.days_per_week if rule is not None and rule.days_per_week is not None else WEEK
    if not most:
        return None
    if most < len(allowed):
        allowed = list(fewest_days(min(intervals), allowed=allowed, most=most).weekdays)
    return _spread(intervals, loads, allowed)


def _spread(intervals: Sequence[float], loads: Sequence[float], allowed: Sequence[int]) -> list[Pattern]:
    """Give the heaviest program its days first, the others what evens out the nights."""
    busy = [0.0] * WEEK
    found: dict[int, Pattern] = {}
    for n in sorted(range(len(intervals)), key=lambda n: -loads[n]):
        best = fewest_days(intervals[n], allowed=allowed)
        alike = [
            days
            for days in combinations(sorted(allowed), len(best.weekdays))
            if longest_gap(days) <= max(best.longest_gap, 0.0)
        ]
        chosen = min(alike, key=lambda days: (max(busy[d] for d in days), sum(busy[d] for d in days), days))
        if not any(busy):
            chosen = best.weekdays
        for day in chosen:
            busy[day] += loads[n]
        found[n] = pattern(_written(chosen))
    return [found[n] for n in range(len(intervals))]


def _written(weekdays: Sequence[int]) -> str:
    return "daily" if len(weekdays) == WEEK else " ".join(WEEKDAYS[day] for day in sorted(weekdays))
