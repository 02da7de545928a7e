"""What a bill's use is explained by: its days, the plants' net need in them, and the time of year."""

from collections.abc import Sequence
from datetime import date

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

DAYS, NEED, SPRING, SUMMER = "days", "net need", "spring", "summer"
YEAR_DAYS = 365.25
SEASONAL_FROM = 18  # so many bills before the time of year is told apart from the need that follows it


def names_of(*, bills: int) -> tuple[str, ...]:
    """Return the terms of a baseline of so many bills; chosen before anything is fitted, never by the fit.

    Use by the day belongs to meters of irrigation alone too: who waters by habit, or has a leak, uses some
    where nothing is needed.
    """
    terms = (DAYS, NEED)
    return (*terms, SPRING, SUMMER) if bills >= SEASONAL_FROM else terms


def design(
    names: Sequence[str], *, firsts: Sequence[date], lasts: Sequence[date], need_l: Floats
) -> tuple[Floats, Floats]:
    """Return the columns of some terms for some bills, and the days of each bill.

    Parameters
    ----------
    names
        Terms, of ``names_of``.
    firsts, lasts
        First and last day of each bill, both included.
    need_l : ndarray, shape (bills,)
        Net landscape need over each bill's own days. [L]

    Returns
    -------
    (ndarray, shape (bills, terms); ndarray, shape (bills,))
        Days and need as they are; spring and summer are sine and cosine of the time of year, added up over
        the bill's days, so that a longer bill counts for more. [d, L, d, d]

    Raises
    ------
    ValueError
        If a bill ends before it begins, or a term isn't known.
    """
    days = np.array([(last - first).days + 1 for first, last in zip(firsts, lasts, strict=True)], dtype=float)
    if (days < 1).any():
        raise ValueError("a bill ends before it begins; its first day must not lie after its last")
    turns = [
        2.0 * np.pi * np.array([day.timetuple().tm_yday for day in _days(first, last)]) / YEAR_DAYS
        for first, last in zip(firsts, lasts, strict=True)
    ]
    made = {
        DAYS: days,
        NEED: np.asarray(need_l, dtype=np.float64),
        SPRING: np.array([np.sin(turn).sum() for turn in turns]),
        SUMMER: np.array([-np.cos(turn).sum() for turn in turns]),
    }
    if unknown := set(names) - set(made):
        raise ValueError(f"terms are {', '.join(made)}; {', '.join(sorted(unknown))} is none of them")
    return np.column_stack([made[name] for name in names]), days


def _days(first: date, last: date) -> list[date]:
    return [date.fromordinal(n) for n in range(first.toordinal(), last.toordinal() + 1)]
