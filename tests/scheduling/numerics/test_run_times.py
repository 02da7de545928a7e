"""Minutes as a controller rounds them, depths per start, and the time a program takes."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.numerics.gross_to_net import Application
from scheduling.numerics.run_times import depths_at, minutes_at, program_minutes


def test_minutes_are_rounded_to_the_nearest_step_a_half_up():
    # Common practice, no source. 10 min at 85 % are 8.5: 9 in whole minutes; 50 min at 29 % are 14.5: 15.
    assert minutes_at([0.85, 0.84], [10.0], 1.0)[:, 0].tolist() == [9.0, 8.0]
    assert minutes_at([0.29], [50.0], 1.0)[0, 0] == 15.0


def test_steps_of_half_a_minute_and_of_five_are_kept():
    minutes = minutes_at([0.85], [11.0, 33.0, 11.0], [1.0, 5.0, 0.5])
    assert minutes.tolist() == [[9.0, 30.0, 9.5]]


def test_a_whole_percent_leaves_the_programmed_minutes():
    programmed = [1.0, 2.5, 7.0, 59.0]
    assert minutes_at([1.0], programmed, [1.0, 0.5, 1.0, 1.0])[0].tolist() == programmed


def test_a_percent_passed_for_a_ratio_is_refused():
    with pytest.raises(ValueError, match="percents is 85, accepted range 0 to 5"):
        minutes_at([85], [10.0], 1.0)


def test_depths_of_one_start_at_three_percents_by_hand():
    # Run 1: 30 mm/h, all usable, a soil that takes everything: 10 min are 5 mm. Run 2: 40 mm/h, A 0.95, U
    # 0.8, cycles of 4: at 50 % 5 min are 4 and 1, of which 4 min wet: 2.667 x 0.95 x 0.8 = 2.027; at 200 %
    # 20 min are five cycles.
    water = Application([30.0, 40.0], [1.0, 0.95], [1.0, 0.8], 100.0, 5.0)
    depths = depths_at([0.2, 0.5, 2.0], [10.0, 10.0], 1.0, application=water, cycle_min=[np.inf, 4.0])
    assert depths.minutes.tolist() == [[2.0, 2.0], [5.0, 5.0], [20.0, 20.0]]
    assert depths.gross_mm == pytest.approx(
        np.array([[1.0, 1.3333333], [2.5, 3.3333333], [10.0, 13.3333333]])
    )
    assert depths.net_mm == pytest.approx(np.array([[0.0, 0.0], [2.5, 2.0266667], [10.0, 10.1333333]]))


def test_many_runs_in_blocks_give_what_each_gives_alone():
    rng = np.random.default_rng(3)
    runs = 2_300
    rate = rng.uniform(8, 60, runs)
    minutes, cycle, soak = rng.integers(1, 60, runs), rng.uniform(3, 20, runs), rng.uniform(0, 60, runs)
    water = Application(rate, 0.95, 0.8, rng.uniform(2, 15, runs), rng.uniform(2, 10, runs))
    together = depths_at([0.3, 1.1], minutes, 1.0, application=water, cycle_min=cycle, soak_min=soak)
    for run in (0, 999, 1_000, 2_299):
        alone = depths_at(
            [0.3, 1.1],
            minutes[run : run + 1],
            1.0,
            application=Application(rate[run], 0.95, 0.8, water.intake_mm_h[run], water.accumulation_mm[run]),
            cycle_min=cycle[run],
            soak_min=soak[run],
        )
        assert together.net_mm[:, run].tolist() == alone.net_mm[:, 0].tolist()


@settings(max_examples=100, deadline=None)
@given(
    minutes=st.integers(1, 60),
    rate=st.floats(5, 100),
    intake=st.floats(1, 40),
    accumulation=st.floats(1, 12),
    cycle=st.floats(3, 30),
    soak=st.floats(0, 60),
)
def test_a_higher_percent_never_brings_less_net_water(minutes, rate, intake, accumulation, cycle, soak):
    water = Application(rate, 0.95, 0.8, intake, accumulation)
    net = depths_at(
        np.arange(0, 2.01, 0.05), [minutes], 1.0, application=water, cycle_min=cycle, soak_min=soak
    ).net_mm
    assert (np.diff(net[:, 0]) >= -1e-9).all()


def took(minutes, cycle, soak, program=None, programs=None):
    owner = np.zeros(len(minutes), dtype=int) if program is None else np.array(program)
    return program_minutes(
        np.array([minutes], dtype=float),
        cycle_min=cycle,
        soak_min=soak,
        program_of_run=owner,
        programs=programs,
    )[0].tolist()


def test_without_cycles_a_program_takes_the_sum_of_its_zones():
    assert took([10, 12, 8], np.inf, 0.0) == [30.0]


def test_the_other_zones_run_while_one_soaks():
    # Two zones of 16 min in cycles of 8, soaks of 5: 8 + 8, then 8 + 8; each soaks 8 min meanwhile.
    assert took([16, 16], 8.0, 5.0) == [32.0]


def test_a_round_waits_for_the_longest_soak():
    # Soaks of 20: the first round lasts 28 (8 + 20) instead of 16, the second 16.
    assert took([16, 16], 8.0, 20.0) == [44.0]


def test_a_single_zone_waits_out_every_soak():
    # 20 min in cycles of 8, 8, 4 with two soaks of 30.
    assert took([20], 8.0, 30.0) == [80.0]


def test_the_last_round_needs_no_soak_after_it():
    # Zone 2 has no second cycle, so its long soak is not waited for: 8 + 8, then 8 after zone 1's 8 min of
    # soak.
    assert took([16, 8], 8.0, [5.0, 90.0]) == [24.0]


def test_a_zone_behind_one_that_dropped_out_still_gets_its_whole_soak():
    # Zone 1 runs 8 once, zone 2 twice 8 with a soak of 10. Zone 2 ends its first at 16, so starts again at
    # 26.
    assert took([8, 16], 8.0, 10.0) == [34.0]


def test_programs_without_runs_take_no_time_and_disturb_nobody():
    assert took([10, 20, 5], np.inf, 0.0, [1, 1, 3], programs=5) == [0.0, 30.0, 0.0, 5.0, 0.0]


def test_an_unknown_run_leaves_the_next_program_known():
    first, second = took([np.nan, 20, 5], np.inf, 0.0, [0, 0, 1])
    assert np.isnan(first)
    assert second == 5.0


def test_runs_not_sorted_by_program_are_refused():
    with pytest.raises(ValueError, match="program_of_run is not sorted"):
        took([1, 2], np.inf, 0.0, [1, 0])


def by_the_clock(minutes, cycle, soak):
    """Walk through a program with a clock: round after round, waiting before a round until all may follow."""
    now, left = 0.0, dict(enumerate(minutes))
    ended: dict[int, float] = {}
    while any(rest > 1e-9 for rest in left.values()):
        parts = [(zone, min(rest, cycle[zone])) for zone, rest in left.items() if rest > 1e-9]
        offset, start = 0.0, now
        for zone, part in parts:
            if zone in ended:
                start = max(start, ended[zone] + soak[zone] - offset)
            offset += part
        now = start
        for zone, part in parts:
            assert zone not in ended or now >= ended[zone] + soak[zone] - 1e-9
            now += part
            ended[zone] = now
            left[zone] -= part
    return now


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 60), st.integers(3, 20), st.integers(0, 60)), min_size=1, max_size=6)
)
def test_the_time_is_that_of_a_clock_walk_with_no_soak_cut_short(zones):
    minutes, cycle, soak = (list(map(float, column)) for column in zip(*zones, strict=True))
    assert took(minutes, cycle, soak) == [pytest.approx(by_the_clock(minutes, cycle, soak))]


def test_many_programs_in_blocks_take_what_each_takes_alone():
    rng = np.random.default_rng(8)
    programs = 700
    owner = np.repeat(np.arange(programs), rng.integers(1, 6, programs))
    minutes = rng.integers(0, 40, (2, owner.size)).astype(float)
    cycle, soak = rng.uniform(3, 15, owner.size), rng.uniform(0, 40, owner.size)
    together = program_minutes(minutes, cycle_min=cycle, soak_min=soak, program_of_run=owner)
    for program in (0, 350, 699):
        runs = owner == program
        for percent in (0, 1):
            walked = by_the_clock(minutes[percent, runs], cycle[runs], soak[runs])
            assert together[percent, program] == pytest.approx(walked)
