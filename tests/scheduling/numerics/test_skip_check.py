"""Leaving out a night: hand-computed dry-downs, windows, and who is asked."""

import numpy as np
import pytest

from scheduling.numerics.skip_check import check_skip


def one_zone(**changes):
    """A zone of 40 mm, 20 readily available (limit 18), 4 mm missing, ET 5, watered 10 mm on days 1 and 4
    of 6."""
    inputs = {
        "net_mm": np.array([[0.0], [10.0], [0.0], [0.0], [10.0], [0.0]]),
        "fixed_mm": np.zeros((6, 1)),
        "group_of_unit": np.array([0]),
        "groups": 1,
        "start_depletion_mm": np.array([4.0]),
        "et_mm": np.full((6, 1), 5.0),
        "rain_mm": np.zeros((6, 1)),
        "taw_mm": np.array([40.0]),
        "raw_mm": np.array([20.0]),
    }
    return inputs | changes


def test_a_dry_week_forbids_the_skip_and_names_the_day():
    # By hand without the night of day 1: 9, 14, 19, 24. The limit of 18 is passed on day 2, water lands on
    # day 4.
    check = check_skip(**one_zone())
    assert check.safe.tolist() == [False]
    assert check.window_end.tolist() == [3]
    assert check.passes_on.tolist() == [2]
    assert check.peak == pytest.approx([24 / 20])


def test_rain_in_the_window_allows_the_skip():
    # 12 mm on day 1: 9; 0 + 5 = 5 (3 mm drain), 10, 15, all below 18 until water lands on day 4.
    rain = np.zeros((6, 1))
    rain[1] = 12.0
    check = check_skip(**one_zone(rain_mm=rain))
    assert check.safe.tolist() == [True]
    assert check.peak == pytest.approx([15 / 20])
    assert check.passes_on.tolist() == [-1]
    assert check.rain_mm == pytest.approx([12.0])


def test_what_happens_after_the_next_watering_is_not_the_skips_doing():
    # Rain as above, but ET of 12 on the last day: 15 - 10 + 5 = 10, then 22: passed on day 5, outside the
    # window.
    rain, et = np.zeros((6, 1)), np.full((6, 1), 5.0)
    rain[1], et[5] = 12.0, 12.0
    check = check_skip(**one_zone(rain_mm=rain, et_mm=et))
    assert check.safe.tolist() == [True]
    assert check.passes_on.tolist() == [5]
    assert check.peak == pytest.approx([15 / 20])


def test_the_water_of_the_night_before_stays():
    # 10 mm credited to day 0 lift the start to 0: 5, 10, 15, 20.
    net = np.array([[10.0], [10.0], [0.0], [0.0], [10.0], [0.0]])
    check = check_skip(**one_zone(net_mm=net))
    assert check.peak == pytest.approx([1.0])
    assert check.safe.tolist() == [False]


def test_watered_every_night_the_window_is_one_day():
    check = check_skip(**one_zone(net_mm=np.full((6, 1), 5.0)))
    assert check.window_end.tolist() == [1]
    assert check.safe.tolist() == [True]


def test_where_no_water_lands_any_more_the_window_is_the_horizon():
    net = np.zeros((6, 1))
    net[1] = 10.0
    check = check_skip(**one_zone(net_mm=net, et_mm=np.full((6, 1), 2.0)))
    # 6, 8, 10, 12, 14, 16 of a limit of 18.
    assert check.window_end.tolist() == [5]
    assert check.peak == pytest.approx([16 / 20])
    assert check.safe.tolist() == [True]


def test_water_from_another_program_ends_the_window_and_is_not_skipped():
    # 6 mm from elsewhere on day 1 stay, 6 mm on day 3 end the window after day 2: 9, 8, 13.
    fixed = np.zeros((6, 1))
    fixed[[1, 3]] = 6.0
    check = check_skip(**one_zone(fixed_mm=fixed))
    assert check.window_end.tolist() == [2]
    assert check.peak == pytest.approx([13 / 20])
    assert check.safe.tolist() == [True]


def test_a_limit_reached_exactly_is_not_passed():
    # ET of 4.5 on days 0 to 2 from 4.5: 9, 13.5, 18 and water on day 3.
    net = np.zeros((4, 1))
    net[[1, 3]] = 10.0
    check = check_skip(
        **one_zone(
            net_mm=net,
            fixed_mm=np.zeros((4, 1)),
            rain_mm=np.zeros((4, 1)),
            et_mm=np.full((4, 1), 4.5),
            start_depletion_mm=np.array([4.5]),
        )
    )
    assert check.peak == pytest.approx([0.9])
    assert check.safe.tolist() == [True]


def several(inputs, copies):
    wide = {
        name: np.repeat(inputs[name], copies, axis=1) for name in ("net_mm", "fixed_mm", "et_mm", "rain_mm")
    }
    long = {name: np.repeat(inputs[name], copies) for name in ("start_depletion_mm", "taw_mm", "raw_mm")}
    return inputs | wide | long


def test_one_zone_at_risk_keeps_its_whole_group_watered():
    # Groups 0 and 1 of two zones each, group 2 of none. Zone 3 starts at 20.
    inputs = several(one_zone(et_mm=np.full((6, 1), 2.0)), 4)
    inputs["start_depletion_mm"][3] = 20.0
    check = check_skip(**inputs | {"group_of_unit": np.array([0, 0, 1, 1]), "groups": 3})
    assert check.unit_safe.tolist() == [True, True, True, False]
    assert check.safe.tolist() == [True, False, False]
    assert check.watered.tolist() == [True, True, False]


def test_a_zone_that_gets_no_water_that_night_has_no_say():
    # Zone 1 is past its limit but is not watered on day 1: leaving the night out changes nothing for it.
    inputs = several(one_zone(et_mm=np.full((6, 1), 2.0)), 2)
    inputs["start_depletion_mm"][1] = 25.0
    inputs["net_mm"][1, 1] = 0.0
    check = check_skip(**inputs | {"group_of_unit": np.array([0, 0])})
    assert check.safe.tolist() == [True]
    assert check.passes_on[1] == 1


def test_a_night_without_water_is_marked_as_such():
    net = np.zeros((6, 1))
    net[4] = 10.0
    check = check_skip(**one_zone(net_mm=net))
    assert check.watered.tolist() == [False]


@pytest.mark.parametrize("spoilt", ["start_depletion_mm", "et_mm", "rain_mm", "net_mm", "taw_mm", "raw_mm"])
def test_a_zone_with_an_unknown_value_is_never_safe(spoilt):
    inputs = one_zone(et_mm=np.full((6, 1), 2.0))
    assert check_skip(**inputs).safe.tolist() == [True]
    inputs[spoilt] = np.full_like(inputs[spoilt], np.nan)
    assert check_skip(**inputs).safe.tolist() == [False]


def test_a_horizon_of_one_day_is_refused():
    with pytest.raises(ValueError, match="net_mm has 1 days, accepted 2 or more"):
        check_skip(**one_zone(net_mm=np.zeros((1, 1))))
