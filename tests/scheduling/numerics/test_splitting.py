"""A run split into cycles and starts, at what the controller can hold."""

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as some

from scheduling.numerics.splitting import longest_held, split, starts_needed


def test_the_published_base_schedule_split():
    # Irrigation Association (2005), our numbers: 34.7 min, longest cycle 15.65 min, 3 cycles.
    cut = split(34.73684210526316, 15.652173913043478, step=1.0)
    assert (cut.minutes, cut.cycles, cut.cycle) == (35.0, 3, 12.0)


def test_what_never_runs_off_is_not_split():
    cut = split(70.2, inf, step=1.0)
    assert (cut.minutes, cut.cycles, cut.cycle) == (71.0, 1, 71.0)


def test_no_cycle_is_too_short_to_wet():
    assert split(1.0, 20.0, step=1.0).minutes == 3.0
    assert longest_held(1.4, step=1.0) == 3.0  # runs off all the same: the plan tells it as lost
    cut = split(7.0, 3.4, step=1.0)  # 3 + 3 + 1 would leave one too short
    assert (cut.minutes, cut.cycles, cut.cycle) == (9.0, 3, 3.0)


def test_starts_are_as_many_as_keep_each_below_the_longest_cycle():
    assert starts_needed(34.7, 15.65, step=1.0, most=24) == 3
    assert starts_needed(34.7, inf, step=1.0, most=24) == 1
    assert starts_needed(34.7, 15.65, step=1.0, most=2) == 2


@pytest.mark.parametrize(
    ("name", "asked"), [("minutes", (0, 5, 1)), ("longest", (5, 0, 1)), ("step", (5, 5, 0))]
)
def test_what_is_out_of_range_is_named(name, asked):
    minutes, longest, step = asked
    with pytest.raises(ValueError, match=name):
        split(minutes, longest, step=step)


@given(some.floats(0.1, 400), some.floats(0.5, 90), some.sampled_from((0.1, 0.5, 1.0, 5.0)))
def test_any_split_gives_the_water_and_keeps_the_cycle(minutes, longest, step):
    cut = split(minutes, longest, step=step)
    assert cut.minutes >= minutes - 1e-6
    assert cut.cycle <= longest_held(longest, step=step) + 1e-6
    assert (cut.cycles - 1) * cut.cycle < cut.minutes <= cut.cycles * cut.cycle + 1e-6
    last = cut.minutes - (cut.cycles - 1) * cut.cycle
    assert last >= 3 - 1e-6
    assert cut.minutes / step == pytest.approx(round(cut.minutes / step), abs=1e-4)
    assert cut.minutes < max(minutes, 3) + (cut.cycles + 1) * max(step, 3)
