"""A baseline as it was kept, made a fit again; and what is expected of it in other bills."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from reports.models import MeterBaseline, NonRoutineChange
from reports.numerics.measured.regression import Fit, fit
from reports.numerics.measured.terms import design
from reports.selectors.metered.bills import Bill

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Point:
    """A bill with what plants needed in it and what was used for reasons of its own. [L]"""

    first: date
    last: date
    used_l: float
    apart_l: float
    need_l: float


def points_of(
    bills: Sequence[Bill], needs: Sequence[float | None], changes: Iterable[NonRoutineChange]
) -> list[Point]:
    """Return the bills whose need is known."""
    said = list(changes)
    return [
        Point(bill.first, bill.last, bill.used_l, apart(said, bill.first, bill.last), need)
        for bill, need in zip(bills, needs, strict=True)
        if need is not None
    ]


def apart(changes: Iterable[NonRoutineChange], first: date, last: date) -> float:
    """Return what non-routine changes account for between two days, both included. [L]"""
    total = 0.0
    for change in changes:
        begin, end = max(change.first, first), min(change.last or last, last)
        total += change.litres_day * max((end - begin + timedelta(days=1)).days, 0)
    return total


def matrix(terms: Sequence[str], points: Sequence[Point]) -> tuple[Floats, Floats]:
    """Return the columns and the days of some points."""
    return design(
        terms,
        firsts=[point.first for point in points],
        lasts=[point.last for point in points],
        need_l=np.array([point.need_l for point in points]),
    )


def fitted(terms: Sequence[str], points: Sequence[Point]) -> Fit:
    """Fit routine use to some terms. Raises as ``regression.fit``."""
    x, days = matrix(terms, points)
    return fit(x, np.array([point.used_l - point.apart_l for point in points]), days)


def kept_points(baseline: MeterBaseline) -> list[Point]:
    """Return the bills a kept baseline rests on."""
    return [
        Point(
            date.fromisoformat(one["first"]),
            date.fromisoformat(one["last"]),
            one["used_l"],
            one["apart_l"],
            one["need_l"],
        )
        for one in baseline.points
    ]


def expected(baseline: MeterBaseline, points: Sequence[Point]) -> Floats:
    """Return what a baseline expects of some bills, non-routine changes added. [L]"""
    x, _ = matrix(baseline.terms, points)
    return np.asarray(x @ np.array(baseline.coefficients) + np.array([point.apart_l for point in points]))


def same_months(points: Sequence[Point], counted: Sequence[Point]) -> NDArray[np.bool_]:
    """Tell which points lie about in the months of those that are counted."""
    months = {_middle(point).month for point in counted}
    return np.array([_middle(point).month in months for point in points], dtype=bool)


def _middle(point: Point) -> date:
    return point.first + (point.last - point.first) // 2
