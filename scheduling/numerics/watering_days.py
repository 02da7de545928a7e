"""Watering days of a week: the fewest whose longest gap the soil can bridge."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import inf

WEEK = 7


@dataclass(frozen=True, slots=True)
class Days:
    """Some weekdays, 0 Monday to 6 Sunday, and the longest gap from one to the next [d]."""

    weekdays: tuple[int, ...]
    longest_gap: float


def longest_gap(weekdays: Sequence[int]) -> float:
    """Return the longest time from one watering day to the next, week after week.

    Parameters
    ----------
    weekdays
        0 Monday to 6 Sunday, each once.

    Returns
    -------
    float
        Days, 1 to 7; infinite without any day. [d]

    Raises
    ------
    ValueError
        If a weekday is out of range or given twice.
    """
    days = sorted(weekdays)
    if len(set(days)) < len(days) or any(day not in range(WEEK) for day in days):
        raise ValueError(f"weekdays holds {list(weekdays)}, accepted are 0 to 6, each once")
    if not days:
        return inf
    following = [*days[1:], days[0] + WEEK]
    return float(max(after - day for day, after in zip(days, following, strict=True)))


def fewest_days(interval: float, *, allowed: Sequence[int] = range(WEEK), most: int = WEEK) -> Days:
    """Return the fewest allowed days whose longest gap is no longer than an interval.

    Of patterns with equally many days, the one with the shortest longest gap; of those, the most even one,
    then the earliest in the week. Where no pattern is short enough, the one that comes nearest, with as few
    days as reach that: its ``longest_gap`` says by how much it misses.

    Parameters
    ----------
    interval
        Longest gap the plants can bridge, 1 or more. [d]
    allowed
        Weekdays that may be used, 0 Monday to 6 Sunday, at least one.
    most
        How many of them, 1 to 7.

    Raises
    ------
    ValueError
        If an argument is out of range.
    """
    if not interval >= 1:
        raise ValueError(f"interval holds {interval}, accepted range 1 and more")
    if most not in range(1, WEEK + 1):
        raise ValueError(f"most holds {most}, accepted range 1 to 7")
    days = sorted(set(allowed))
    if not days or any(day not in range(WEEK) for day in days):
        raise ValueError(f"allowed holds {list(allowed)}, accepted are some of 0 to 6")
    nearest: Days | None = None
    for count in range(1, min(most, len(days)) + 1):
        best = min(combinations(days, count), key=_evenness)
        found = Days(best, longest_gap(best))
        if found.longest_gap <= interval:
            return found
        if nearest is None or found.longest_gap < nearest.longest_gap:
            nearest = found
    assert nearest is not None
    return nearest


def _evenness(days: Sequence[int]) -> tuple[float, float, tuple[int, ...]]:
    following = [*days[1:], days[0] + WEEK]
    gaps = [after - day for day, after in zip(days, following, strict=True)]
    return float(max(gaps)), float(sum(gap * gap for gap in gaps)), tuple(days)
