"""The base schedule against the scheduling method's worked figures."""

import numpy as np
import pytest

from scheduling.numerics.base_schedule import (
    cycles_needed,
    depth_per_watering,
    gross_for_net,
    interval_days,
    minutes_for_depth,
)
from scheduling.numerics.gross_to_net import longest_cycle_min, shortest_soak_min, usable_share
from scheduling.numerics.soil_water import readily_available_water, total_available_water

IN = 25.4  # mm per inch, exact


def test_the_methods_example_from_soil_to_cycles():
    # IA method: loam 0.17 x 8 in x 0.50 = 0.68 in; ETc 0.22 in/d -> 3 days; net rate 1.5 in/h -> 26.4 min
    # lower, 34.7 upper at DU 0.60; IR 0.35, ASA 0.30 -> longest cycle 15.65 min, 3 cycles, soak 51.4 min.
    raw = readily_available_water(total_available_water(0.17, 8 * IN), 0.5)
    assert raw / IN == pytest.approx(0.68, abs=1e-9)
    days = interval_days(raw, 0.22 * IN)
    assert days == 3
    depth = depth_per_watering(days, 0.22 * IN, raw_mm=raw, margin=1.0)
    assert depth / IN == pytest.approx(0.66, abs=1e-9)
    assert minutes_for_depth(depth, 1.5 * IN) == pytest.approx(26.4, abs=1e-9)
    upper = minutes_for_depth(depth, 1.5 * IN, efficiency=usable_share(0.6))
    assert upper == pytest.approx(34.73684210526316, abs=1e-9)
    longest = longest_cycle_min(1.5 * IN, intake_mm_h=0.35 * IN, accumulation_mm=0.3 * IN)
    assert longest == pytest.approx(15.652173913043478, abs=1e-9)
    assert cycles_needed(upper, longest) == 3
    soak = shortest_soak_min(longest, rate_mm_h=1.5 * IN, intake_mm_h=0.35 * IN)
    assert soak == pytest.approx(51.4, abs=0.05)


def test_total_water_to_apply_is_need_over_efficiency():
    # UC/DWR (2000), A Guide to Estimating Irrigation Water Needs, chapter 5: 3.72 in at 30, 60, 90 percent.
    gross = gross_for_net(3.72 * IN, [0.3, 0.6, 0.9]) / IN
    assert gross == pytest.approx([12.4, 6.2, 4.1], abs=0.05)


def test_an_interval_that_fits_exactly_is_not_cut_by_rounding():
    # 0.6 / 0.2 is three, though floats make it 2.9999999999999996.
    assert interval_days([0.6, 0.66], [0.2, 0.22]).tolist() == [3.0, 3.0]


def test_a_soil_emptied_in_less_than_a_day_is_still_watered_once_a_day():
    assert interval_days(3.0, 6.0) == 1


def test_a_watering_never_exceeds_the_used_share_of_readily_available_water():
    assert depth_per_watering(7, 5.0, raw_mm=20.0) == pytest.approx(18.0)
    assert depth_per_watering(2, 5.0, raw_mm=20.0) == pytest.approx(10.0)


def test_cycles_round_up_and_no_minutes_need_none():
    assert cycles_needed([0.0, 5.0, 12.0, 12.1, 24.0], 12.0).tolist() == [0, 1, 1, 2, 2]
    assert cycles_needed(240.0, np.inf) == 1


def test_unknown_stays_unknown():
    assert np.isnan(interval_days(np.nan, 5.0))
    assert np.isnan(minutes_for_depth(np.nan, 40.0))
    assert np.isnan(cycles_needed(np.nan, 12.0))


def test_values_out_of_range_are_refused_by_name():
    with pytest.raises(ValueError, match="et_mm_day is 0, accepted range above 0"):
        interval_days(10.0, 0.0)
    with pytest.raises(ValueError, match="efficiency is 75, accepted range 0 to 1"):
        gross_for_net(10.0, 75)
    with pytest.raises(ValueError, match="interval is 0"):
        depth_per_watering(0, 5.0, raw_mm=20.0)
