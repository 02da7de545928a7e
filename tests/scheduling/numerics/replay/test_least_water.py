"""The least water: a case by hand, and scipy's solver on the linear program it solves."""

import numpy as np
import pytest
from scipy.optimize import linprog

from scheduling.numerics.replay.least_water import least_water


def one_zone(et, rain, may, *, start, end, raw=20.0, taw=40.0):
    column = [np.asarray(values, dtype=np.float64)[:, np.newaxis] for values in (et, rain)]
    return least_water(
        et_mm=column[0],
        rain_mm=column[1],
        may_water=np.asarray(may, dtype=bool)[:, np.newaxis],
        start_depletion_mm=np.array([start]),
        end_depletion_mm=np.array([end]),
        taw_mm=np.array([taw]),
        raw_mm=np.array([raw]),
    )[:, 0]


def by_solver(et, rain, may, *, start, end, raw):
    """Least sum of I; variables are I, drained and D of each day. None where no watering keeps D in RAW."""
    days = len(et)
    balance, right = np.zeros((days, 3 * days)), np.zeros(days)
    above_zero_before_et = np.zeros((days, 3 * days))
    for day in range(days):
        balance[day, [day, days + day, 2 * days + day]] = 1.0, -1.0, 1.0
        if day:
            balance[day, 2 * days + day - 1] = -1.0
        right[day] = et[day] - rain[day] + (0.0 if day else start)
        above_zero_before_et[day, 2 * days + day] = -1.0
    bounds = [(0, None if waters else 0) for waters in may] + [(0, None)] * days
    bounds += [(0, raw)] * (days - 1) + [(0, min(raw, end))]
    found = linprog(
        np.r_[np.ones(days), np.zeros(2 * days)],
        A_ub=above_zero_before_et,
        b_ub=-np.asarray(et),
        A_eq=balance,
        b_eq=right,
        bounds=bounds,
    )
    return found.fun if found.status == 0 else None


def test_water_comes_as_late_and_as_little_as_possible():
    """RAW 20, start 10, ET 6 a day: 16, 22 without water. Water may land on days 1 and 3; rain of 8 on day 3.

    Day 1: must last until day 3, 16 + 6 + 6 = 28: 8 too many. Day 3: 20 - 8 = 12, + 6 = 18; it may end at 15
    after day 4's 6: 24, so 9 on day 3.
    """
    given = one_zone([6] * 5, [0, 0, 0, 8, 0], [0, 1, 0, 1, 0], start=10, end=15)
    assert given == pytest.approx([0, 8, 0, 9, 0])


def test_where_a_gap_is_too_long_the_soil_is_filled():
    """RAW 20, ET 9, three days between waterings: 27 are wanted where 20 go in."""
    given = one_zone([9] * 4, [0] * 4, [1, 0, 0, 1], start=18, end=20)
    assert given[0] == pytest.approx(18)


def test_what_rain_fills_by_itself_takes_no_water_before_it():
    """It ends as rain left it: full, then 0.1 and 0.7 of ET, which in floats is less than 0.8."""
    given = one_zone([5, 0.1, 0.7], [0, 30, 0], [0, 1, 0], start=5, end=0.1 + 0.7)
    assert given == pytest.approx([0, 0, 0])


def test_scipy_finds_the_same_least():
    """400 zones at random; where the solver finds a watering, its sum is ours."""
    rng = np.random.default_rng(11)
    compared = 0
    for _ in range(400):
        days, raw = int(rng.integers(5, 60)), float(rng.uniform(5, 40))
        et = rng.uniform(0, 7, days)
        rain = np.where(rng.random(days) < rng.uniform(0, 0.4), rng.exponential(8, days), 0.0)
        may = rng.random(days) < rng.uniform(0.3, 1)
        state = {"start": float(rng.uniform(0, raw)), "end": float(rng.uniform(0, raw)), "raw": raw}
        least = by_solver(et, rain, may, **state)
        if least is not None:
            compared += 1
            ours = one_zone(et, rain, may, **state, taw=2.0 * raw).sum()
            assert ours == pytest.approx(least, abs=1e-6)
    assert compared > 200
