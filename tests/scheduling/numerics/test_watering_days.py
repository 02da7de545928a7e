"""Watering days, worked out by hand."""

from itertools import combinations
from math import inf

import pytest

from scheduling.numerics.watering_days import Days, fewest_days, longest_gap

MON, TUE, WED, THU, FRI, SAT, SUN = range(7)


@pytest.mark.parametrize(
    ("days", "gap"),
    [
        ([], inf),
        ([WED], 7),
        ([MON, THU], 4),
        ([MON, WED, FRI], 3),
        ([TUE, THU, SAT], 3),
        ([MON, WED, FRI, SUN], 2),
        ([SUN, MON], 6),
        (range(7), 1),
    ],
)
def test_the_longest_gap_goes_on_into_the_next_week(days, gap):
    assert longest_gap(days) == gap


@pytest.mark.parametrize(
    ("interval", "days"),
    [
        (9, (MON,)),
        (7, (MON,)),
        (6, (MON, THU)),
        (4.9, (MON, THU)),
        (3, (MON, WED, FRI)),
        (2.5, (MON, TUE, THU, SAT)),
        (1, tuple(range(7))),
    ],
)
def test_the_fewest_days_that_leave_no_longer_gap(interval, days):
    assert fewest_days(interval).weekdays == days


def test_a_rule_of_two_days_is_kept_and_the_gap_says_what_is_missed():
    assert fewest_days(2, allowed=[WED, SAT]) == Days((WED, SAT), 4.0)
    assert fewest_days(2, most=2) == Days((MON, THU), 4.0)


def test_more_days_are_not_taken_where_they_shorten_no_gap():
    # From Thursday to Monday are four days however many of Monday to Thursday are used.
    assert fewest_days(3, allowed=[MON, TUE, WED, THU]) == Days((MON, THU), 4.0)


@pytest.mark.parametrize("interval", [1, 2, 3, 4, 5, 6, 7])
@pytest.mark.parametrize("allowed", list(combinations(range(7), 4)))
def test_no_pattern_with_fewer_days_would_do(interval, allowed):
    found = fewest_days(interval, allowed=allowed)
    shorter = [c for n in range(1, len(found.weekdays)) for c in combinations(allowed, n)]
    assert all(longest_gap(c) > max(interval, found.longest_gap - 1e-9) - 1e-9 for c in shorter) or all(
        longest_gap(c) > interval for c in shorter
    )
    assert found.longest_gap <= interval or found.longest_gap == min(
        longest_gap(c) for n in range(1, 5) for c in combinations(allowed, n)
    )


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: longest_gap([7]), "weekdays holds"),
        (lambda: longest_gap([1, 1]), "weekdays holds"),
        (lambda: fewest_days(0.5), "interval holds 0.5"),
        (lambda: fewest_days(float("nan")), "interval holds nan"),
        (lambda: fewest_days(2, allowed=[]), "allowed holds"),
        (lambda: fewest_days(2, most=0), "most holds 0"),
    ],
)
def test_impossible_weeks_are_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
