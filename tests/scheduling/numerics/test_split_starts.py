"""Cycle and soak by several starts: the same minutes, never a longer cycle, never a shorter soak."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.numerics.split_starts import Split, split_starts
from scheduling.numerics.timeline import Run, Start, whole_night


def openings(split: Split, zone: int, *, at_once: int = 1) -> list[tuple[float, float]]:
    """Return when a zone is open, by the simulated night of all parts."""
    starts = [
        Start(at, [Run(minutes) for minutes in part.minutes]) for part in split.parts for at in part.offsets
    ]
    night = whole_night(starts, at_once=at_once)
    return sorted((o.start, o.end) for start in night for o in start if o.run == zone)


def test_minutes_that_divide_take_one_letter():
    # 24 min in cycles of 8 with half an hour's soak, beside 12 min in cycles of 6
    split = split_starts([Run(24, cycle=8, soak=30), Run(12, cycle=6, soak=20)], most_starts=4)
    assert [part.minutes for part in split.parts] == [(8, 4)]
    assert split.parts[0].offsets == (0, 40, 80)  # 8 and 30 min, to whole five minutes
    assert split.lost == (0, 0)
    assert openings(split, 0) == [(0, 8), (40, 48), (80, 88)]


def test_minutes_that_do_not_divide_take_a_second_letter_for_the_last_start():
    split = split_starts([Run(25, cycle=9, soak=30)], most_starts=4, letters=2)
    assert [(part.minutes, len(part.offsets)) for part in split.parts] == [((8,), 2), ((9,), 1)]
    assert split.lost == (0,)


def test_without_a_second_letter_minutes_are_shared_evenly_if_a_number_of_starts_does_that():
    split = split_starts([Run(25, cycle=9, soak=30)], most_starts=5)
    assert split.parts[0].minutes == (5,)
    assert len(split.parts[0].offsets) == 5


def test_what_is_lost_by_rounding_is_told():
    split = split_starts([Run(25, cycle=9, soak=30)], most_starts=3)
    assert split.parts[0].minutes == (8,)
    assert split.lost == (1,)


def test_too_few_starts_are_told():
    split = split_starts([Run(40, cycle=8, soak=30)], most_starts=2)
    assert split.starts == 2
    assert split.longest == 12  # 20 min in one go where 8 are allowed


def test_a_program_that_needs_no_cycles_stays_as_it_is():
    split = split_starts([Run(12), Run(0, cycle=5, soak=9), Run(8, cycle=10, soak=60)], most_starts=4)
    assert split.starts == 1
    assert split.parts[0].minutes == (12, 0, 8)


@pytest.mark.parametrize("wrong", [{"most_starts": 0}, {"letters": 0}, {"at_once": 0}, {"step": 0}])
def test_arguments_out_of_range(wrong):
    with pytest.raises(ValueError, match="accepted range"):
        split_starts([Run(10, cycle=4)], **({"most_starts": 3} | wrong))


@st.composite
def programs(draw) -> list[Run]:
    count = draw(st.integers(1, 6))
    return [
        Run(
            draw(st.integers(0, 60)),
            cycle=draw(st.sampled_from([4, 6, 8, 10, 15, 20, float("inf")])),
            soak=draw(st.integers(0, 90)),
        )
        for _ in range(count)
    ]


@settings(max_examples=300, deadline=None, derandomize=True)
@given(runs=programs(), most=st.integers(1, 8), letters=st.integers(1, 2), at_once=st.integers(1, 2))
def test_no_cycle_is_longer_no_soak_shorter_and_minutes_are_accounted_for(runs, most, letters, at_once):
    split = split_starts(runs, most_starts=most, letters=letters, at_once=at_once)
    assert all(len(part.offsets) <= most for part in split.parts)
    assert len(split.parts) <= letters
    for n, run in enumerate(runs):
        spans = openings(split, n, at_once=at_once)
        assert sum(end - begin for begin, end in spans) == pytest.approx(run.minutes - split.lost[n])
        assert all(end - begin <= run.cycle + split.longest + 1e-6 for begin, end in spans)
        if split.starts > 1:
            gaps = [then[0] - now[1] for now, then in pairwise(spans)]
            assert all(gap >= run.soak - 1e-6 for gap in gaps)


@settings(max_examples=200, deadline=None, derandomize=True)
@given(runs=programs())
def test_with_starts_enough_and_two_letters_nothing_is_lost_and_no_cycle_too_long(runs):
    split = split_starts(runs, most_starts=40, letters=2)
    least = max([1, *(-(-run.minutes // run.cycle) for run in runs if run.minutes)])
    if all(run.minutes == 0 or run.minutes >= 3 * (least + 2) for run in runs):
        assert split.longest == 0
        assert split.lost == pytest.approx([0.0] * len(runs))
