"""What a meter's register counted between readings, and what is doubtful about it.

A register only ever rises. Where it falls it rolled over, was set back or replaced, or was misread; which of
them is told by its neighbours. How far a step may go before it isn't believed: common practice, no source.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

DAY_S = 86_400.0
LONG_DAYS = 70.0  # a bill of two months is usual, more between two readings isn't
MOST_TIMES = 4.0  # a roll-over may count to so many times the fastest other step

RESET = "the meter was replaced or set back; what it counted until then is unknown"
FELL = "the reading fell and no roll-over explains it: taken as set back, use unknown"


class Reading(NamedTuple):
    """A register reading: seconds since 1970, the value, and whether it counts anew from here."""

    at: float
    value: float
    reset: bool = False


class Step(NamedTuple):
    """What was counted from one reading to the next, in the register's unit; None where unknown."""

    begin: float
    end: float
    used: float | None
    doubt: str = ""


def steps_of(readings: Sequence[Reading], *, rolls_over_at: float | None = None) -> list[Step]:
    """Return what a register counted between its readings, which may come in any order.

    Parameters
    ----------
    readings
        Readings of one meter, values 0 or more, no two at one moment.
    rolls_over_at
        The first number the register can't show, above 0; None where unknown.

    Raises
    ------
    ValueError
        If a value is negative or the register's end isn't above 0.
    """
    if any(r.value < 0 for r in readings) or (rolls_over_at is not None and rolls_over_at <= 0):
        raise ValueError("Readings are 0 or more, and a register ends above 0.")
    inner, left_out = _believed(sorted(readings), rolls_over_at)
    fastest = _fastest(inner)
    return [_step(a, b, rolls_over_at, fastest, left_out.get(a.at, ())) for a, b in pairwise(inner)]


def rolled_over(before: Reading, now: Reading, rolls_over_at: float | None, fastest: float) -> float | None:
    """Return what was counted if the register started over once in between, None where that isn't plausible.

    ``fastest`` is the greatest use a second of the other steps, 0 where there is none.
    """
    if rolls_over_at is None or before.value >= rolls_over_at or now.value >= before.value:
        return None
    used = rolls_over_at - before.value + now.value
    if used > rolls_over_at / 2.0 or (fastest and used / (now.at - before.at) > MOST_TIMES * fastest):
        return None
    return used


def _fastest(readings: Sequence[Reading]) -> float:
    rates = [
        (b.value - a.value) / (b.at - a.at)
        for a, b in pairwise(readings)
        if b.value >= a.value and not b.reset
    ]
    return max(rates, default=0.0)


def _believed(
    ordered: list[Reading], rolls_over_at: float | None
) -> tuple[list[Reading], dict[float, tuple[float, ...]]]:
    """Leave out single readings that fit neither before nor after; return them by the moment before."""
    kept: list[Reading] = list(ordered)
    left_out: dict[float, tuple[float, ...]] = {}
    fastest = _fastest(ordered)
    n = 1
    while n < len(kept):
        a, b = kept[n - 1], kept[n]
        if b.value >= a.value or b.reset or rolled_over(a, b, rolls_over_at, fastest) is not None:
            n += 1
            continue
        after = kept[n + 1] if n + 1 < len(kept) else None
        before = kept[n - 2] if n >= 2 else None
        if after is not None and not after.reset and after.value >= a.value:
            at, gone = a.at, n  # b lies below both its neighbours
        elif before is not None and not a.reset and before.value <= b.value:
            at, gone = before.at, n - 1  # a lies above both its neighbours
        else:
            n += 1
            continue
        value = kept.pop(gone).value
        left_out[at] = (*left_out.get(at, ()), value)
        n = max(1, gone)
    return kept, left_out


def _step(
    a: Reading, b: Reading, rolls_over_at: float | None, fastest: float, left_out: tuple[float, ...]
) -> Step:
    doubts = [
        f"a reading of {v:,.10g} in between was left out: it fits neither before nor after" for v in left_out
    ]
    used: float | None = None
    if b.reset:
        doubts.append(RESET)
    elif b.value >= a.value:
        used = b.value - a.value
    else:
        used = rolled_over(a, b, rolls_over_at, fastest)
        doubts.append(FELL if used is None else f"taken to have started over at {rolls_over_at:,.10g}")
    days = (b.at - a.at) / DAY_S
    if used is not None and days > LONG_DAYS:
        doubts.append(f"no reading for {days:.0f} days; spread evenly")
    return Step(a.at, b.at, used, "; ".join(doubts))
