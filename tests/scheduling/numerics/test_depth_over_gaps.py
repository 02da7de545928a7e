"""How deep to water where days between two waterings are given; worked by hand."""

import numpy as np
import pytest

from scheduling.numerics.depth_over_gaps import depth_over_gaps
from scheduling.numerics.weeks_ahead import weeks_of


def depth(gaps, et, raw, taw=None):
    return float(depth_over_gaps(gaps, [et], raw_mm=[raw], taw_mm=[taw or 2 * raw])[0])


def test_even_gaps_take_what_was_used():
    assert depth([3], 5.588, 17.272) == pytest.approx(3 * 5.588)  # the base schedule's 0.66 in
    assert depth([7], 3.0, 30.0) == pytest.approx(21.0)


def test_uneven_gaps_take_the_mean_where_the_soil_has_room():
    # 2, 2 and 3 days at 5 mm: 35 mm a week in three waterings; 15 mm before the third gap is over.
    assert depth([2, 2, 3], 5.0, 30.0) == pytest.approx(35 / 3)


def test_uneven_gaps_take_more_where_the_soil_is_nearly_used_up():
    # 1, 2, 2, 2 days at 6 mm on 13 mm: with the mean of 10.5 the last long gap ends 15 down; with d it is
    # 12 + 2 (12 - d), which is 13 at 11.5.
    assert depth([1, 2, 2, 2], 6.0, 13.0) == pytest.approx(11.5, abs=1e-6)


def test_gaps_too_long_take_what_helps_and_no_more():
    found = depth([4], 6.0, 12.0, 24.0)
    assert 0.5 * 24 <= found <= 24.0
    waters = np.array([n % 4 == 0 for n in range(84)])[:, np.newaxis]
    best, ours = (
        weeks_of([d], waters, et_mm=[6.0], taw_mm=[24.0], raw_mm=[12.0]).mean_over_share[0]
        for d in (24.0, found)
    )
    assert ours <= best + 0.005 + 1e-3


def test_what_is_out_of_range_is_named():
    with pytest.raises(ValueError, match="gaps is empty"):
        depth([], 5.0, 10.0)
    with pytest.raises(ValueError, match="gaps"):
        depth([0], 5.0, 10.0)


def test_weeks_lose_what_is_given_beyond_need():
    # 12 mm every other day where 5 mm a day are used: 2 mm of each drain.
    waters = np.array([n % 2 == 0 for n in range(56)])[:, np.newaxis]
    found = weeks_of([12.0], waters, et_mm=[5.0], taw_mm=[40.0], raw_mm=[20.0])
    assert found.drained_mm[0] == pytest.approx(1.0)
    assert found.worst_mm[0] == pytest.approx(10.0)
    assert (found.over_limit_mm[0], found.mean_over_share[0], found.met[0]) == (0, 0, pytest.approx(1))


def test_weeks_count_days_there_are():
    with pytest.raises(ValueError, match="counted"):
        weeks_of([1.0], np.ones((7, 1), bool), et_mm=[1.0], taw_mm=[2.0], raw_mm=[1.0], counted=8)
