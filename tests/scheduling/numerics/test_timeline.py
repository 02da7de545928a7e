"""A controller's night, valve by valve; expected times worked out by hand."""

import itertools
from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.numerics.run_times import program_minutes
from scheduling.numerics.timeline import Opening, Run, Start, one_start, peak_flow, whole_night


def spans(openings: list[Opening]) -> list[tuple[int, int, float, float]]:
    return [(o.run, o.cycle, o.start, o.end) for o in openings]


def test_zones_follow_one_another_in_their_order():
    assert spans(one_start([Run(10), Run(0), Run(5)])) == [(0, 1, 0, 10), (2, 1, 10, 15)]


def test_a_soak_is_filled_with_the_other_zones_and_waited_for_where_they_are_too_short():
    # 24 minutes as 10, 10, 4 with 30 of soak beside 8 minutes unsplit: 0-10, 10-18, then soak is over at 40.
    openings = one_start([Run(24, cycle=10, soak=30), Run(8)])
    assert spans(openings) == [(0, 1, 0, 10), (1, 1, 10, 18), (0, 2, 40, 50), (0, 3, 80, 84)]


def test_a_round_starts_when_its_zones_can_follow_without_a_gap():
    # Round 1: 0-5, 5-6. Zone 1 may open again at 26, five minutes after zone 0: the round starts at 21.
    openings = one_start([Run(10, cycle=5), Run(12, cycle=1, soak=20)])
    second = [o for o in openings if o.cycle == 2]
    assert [(o.run, o.start) for o in second] == [(0, 21.0), (1, 26.0)]


def test_zones_open_together_up_to_the_number():
    four = [Run(10), Run(20), Run(5), Run(5)]
    assert spans(one_start(four, at_once=2)) == [(0, 1, 0, 10), (1, 1, 0, 20), (2, 1, 10, 15), (3, 1, 15, 20)]
    assert spans(one_start(four, at_once=9))[3] == (3, 1, 0, 5)


def test_a_program_waits_for_the_one_before_it():
    night = whole_night([Start(60, [Run(30)]), Start(0, [Run(50), Run(20)]), Start(200, [Run(1)])])
    assert [spans(one) for one in night] == [
        [(0, 1, 70, 100)],
        [(0, 1, 0, 50), (1, 1, 50, 70)],
        [(0, 1, 200, 201)],
    ]


def test_of_two_programs_of_the_same_minute_the_first_given_begins():
    night = whole_night([Start(5, [Run(10)]), Start(5, [Run(10)])])
    assert [one[0].start for one in night] == [5, 15]


def test_a_program_that_runs_nothing_holds_nobody_up():
    night = whole_night([Start(0, [Run(0)]), Start(0, [Run(3)])])
    assert [spans(one) for one in night] == [[], [(0, 1, 0, 3)]]


def test_the_largest_flow_and_its_first_minute():
    assert peak_flow([(0, 10, 20), (10, 20, 30), (15, 30, 25), (18, 18, 99)]) == (55, 15)
    assert peak_flow([]) == (0, 0)


@pytest.mark.parametrize(
    ("run", "message"),
    [
        ({"minutes": -1}, "minutes holds -1"),
        ({"minutes": inf}, "minutes holds inf"),
        ({"minutes": 1, "cycle": 0}, "cycle holds 0"),
        ({"minutes": 1, "soak": -1}, "soak holds -1"),
        ({"minutes": float("nan")}, "minutes holds nan"),
    ],
)
def test_impossible_runs_are_refused(run, message):
    with pytest.raises(ValueError, match=message):
        Run(**run)


def test_no_valve_at_all_is_refused():
    with pytest.raises(ValueError, match="at_once holds 0"):
        one_start([], at_once=0)


RUNS = st.lists(
    st.builds(
        Run,
        minutes=st.integers(0, 90).map(float),
        cycle=st.one_of(st.just(inf), st.integers(1, 40).map(float)),
        soak=st.integers(0, 90).map(float),
    ),
    min_size=1,
    max_size=8,
)


@given(RUNS)
def test_with_one_zone_at_a_time_it_lasts_as_the_percent_search_thinks(runs):
    openings = one_start(runs)
    searched = program_minutes(
        np.array([[run.minutes for run in runs]]),
        cycle_min=[run.cycle for run in runs],
        soak_min=[run.soak for run in runs],
        program_of_run=np.zeros(len(runs), dtype=int),
    )
    assert max((o.end for o in openings), default=0.0) == pytest.approx(searched[0, 0])


@given(RUNS, st.integers(1, 4))
def test_every_minute_is_run_no_soak_is_cut_and_no_valve_too_many_open(runs, at_once):
    openings = one_start(runs, at_once=at_once)
    for n, run in enumerate(runs):
        own = [o for o in openings if o.run == n]
        assert sum(o.end - o.start for o in own) == pytest.approx(run.minutes)
        assert all(o.end - o.start <= run.cycle + 1e-9 for o in own)
        assert all(b.start - a.end >= run.soak - 1e-9 for a, b in itertools.pairwise(own))
        assert [o.cycle for o in own] == list(range(1, len(own) + 1))
    assert peak_flow([(o.start, o.end, 1.0) for o in openings])[0] <= at_once


@given(RUNS, st.integers(1, 4))
def test_more_zones_together_never_take_longer(runs, at_once):
    def lasts(together: int) -> float:
        return max((o.end for o in one_start(runs, at_once=together)), default=0.0)

    one = lasts(1)
    assert lasts(at_once) <= one + 1e-9
