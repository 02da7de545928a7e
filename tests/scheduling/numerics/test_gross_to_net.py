"""From gross to net: published multipliers and cycle lengths, a pond followed by hand, and the closing
sum."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.numerics.soils import SOILS
from scheduling.numerics.gross_to_net import (
    Application,
    longest_cycle_min,
    net_depth,
    run_time_multiplier,
    shortest_soak_min,
    usable_share,
)

IN = 25.4  # mm per inch, exact


@pytest.mark.parametrize(
    ("uniformity", "multiplier"),
    [
        (0.40, 1.5625),
        (0.50, 1.4285714285714286),
        (0.60, 1.3157894736842106),
        (0.65, 1.2658227848101266),
        (0.70, 1.2195121951219512),
        (0.80, 1.1363636363636365),
        (1.00, 1.0),
    ],
)
def test_run_time_multiplier_is_that_of_the_scheduling_method(uniformity, multiplier):
    # IA scheduling method, RTM = 1 / (0.4 + 0.6 DU_LQ); the table prints 1.56 1.43 1.32 1.27 1.22 1.14.
    assert run_time_multiplier(uniformity) == pytest.approx(multiplier, abs=1e-9)


def test_usable_share_runs_from_all_at_the_lower_boundary_to_one_over_the_multiplier():
    # IA lower and upper boundary: b = 0 takes the zone as even, b = 1 waters RTM times as long.
    assert usable_share(0.6, boundary=0.0) == 1.0
    assert usable_share(0.6) == pytest.approx(0.76, abs=1e-12)
    assert usable_share(0.6, boundary=0.5) == pytest.approx(0.8636363636363636, abs=1e-12)


@pytest.mark.parametrize(
    ("zone", "accumulation", "rate", "intake", "longest", "soak"),
    [
        (1, 0.25, 1.60, 0.35, 12.0, 42.9),
        (2, 0.16, 1.60, 0.15, 6.6, 64.0),
        (3, 0.26, 1.40, 0.50, 17.3, 31.2),
        (4, 0.24, 1.40, 0.40, 14.4, 36.0),
        (6, 0.10, 0.35, 0.10, 24.0, 60.0),
    ],
)
def test_cycles_and_soaks_of_the_six_zone_landscape(zone, accumulation, rate, intake, longest, soak):
    # SWAT climatologically based controllers, 8th testing protocol (2008), Table 1 (from memory), inches
    # and in/h.
    water = {"rate_mm_h": rate * IN, "intake_mm_h": intake * IN}
    cycle = longest_cycle_min(accumulation_mm=accumulation * IN, **water)
    assert cycle == pytest.approx(longest, abs=0.05)
    assert shortest_soak_min(cycle, **water) == pytest.approx(soak, abs=0.05)


def test_drip_slower_than_the_soil_takes_it_has_no_longest_cycle_and_no_soak():
    # The same protocol's zone 5: 0.20 in/h on a soil that takes 0.20 in/h.
    water = {"rate_mm_h": 0.20 * IN, "intake_mm_h": 0.20 * IN}
    assert longest_cycle_min(accumulation_mm=0.26 * IN, **water) == np.inf
    assert shortest_soak_min(600.0, **water) == 0.0


@pytest.mark.parametrize(
    ("soil", "minutes"),
    [
        ("clay", 8.0),
        ("silty_clay", 9.517241379310345),
        ("clay_loam", 11.142857142857142),
        ("loam", 14.4),
        ("sandy_loam", 16.5),
        ("loamy_sand", 19.636363636363637),
        ("sand", 24.0),
    ],
)
def test_longest_cycle_of_a_spray_on_flat_ground(soil, minutes):
    # Confirmed columns of the IA tables (two public R packages), a spray at 1.60 in/h.
    row = SOILS[soil]
    cycle = longest_cycle_min(
        1.6 * IN, intake_mm_h=row.intake_mm_h.value, accumulation_mm=row.accumulation_mm[0].value
    )
    assert cycle == pytest.approx(minutes, abs=1e-9)


def test_less_water_on_the_ground_allows_a_longer_cycle():
    whole = longest_cycle_min(40.0, intake_mm_h=9.0, accumulation_mm=6.0)
    part = longest_cycle_min(40.0, intake_mm_h=9.0, accumulation_mm=6.0, ground_share=0.95)
    assert whole == pytest.approx(60 * 6 / 31)
    assert part == pytest.approx(60 * 6 / 29)


# Zone 1 of the protocol, the reference's hand-checked case: inches turned into mm.
ZONE_1 = Application(
    rate_mm_h=1.60 * IN,
    ground_share=1.0,
    usable_share=0.55,
    intake_mm_h=0.35 * IN,
    accumulation_mm=0.25 * IN,
)


def test_one_long_cycle_runs_off_by_the_hand_checked_depth():
    # 20 minutes where 12 fit: (1.60 - 0.35) x 8 / 60 = 0.1667 in; net (0.5333 - 0.1667) x 0.55 = 0.2017 in.
    chain = net_depth(20.0, ZONE_1)
    assert chain.runoff_mm / IN == pytest.approx(0.16667, abs=5e-6)
    assert chain.net_mm / IN == pytest.approx(0.20167, abs=5e-6)


def test_cycles_no_longer_than_the_longest_with_whole_soaks_lose_nothing():
    # 24 minutes as two cycles of 12, 43 minutes apart: no runoff; net 0.64 x 0.55 = 0.352 in.
    chain = net_depth(24.0, ZONE_1, cycle_min=12.0, soak_min=43.0)
    assert chain.runoff_mm == pytest.approx(0.0, abs=1e-12)
    assert chain.net_mm / IN == pytest.approx(0.352, abs=1e-9)


def test_a_soak_too_short_runs_off_what_still_stands():
    # The first pond of 0.25 in drains 0.35 x 20 / 60 = 0.1167 in; the second cycle of 0.25 in overflows by
    # 0.1333.
    chain = net_depth(24.0, ZONE_1, cycle_min=12.0, soak_min=20.0)
    assert chain.runoff_mm / IN == pytest.approx(0.13333, abs=5e-6)


def test_a_third_cycle_still_meets_the_water_of_the_first():
    # By hand: A PR - IR = 60 - 15 = 45 mm/h, 4 mm may stand, cycles of 4 min add 3 mm, soaks of 4 min drain
    # 1 mm. Ponds 3; 2 then 5 (1 over); 3 then 6 (2 over): 3 mm run off.
    steep = Application(60.0, 1.0, 1.0, 15.0, 4.0)
    chain = net_depth(12.0, steep, cycle_min=4.0, soak_min=4.0)
    assert chain.runoff_mm == pytest.approx(3.0, abs=1e-12)
    assert chain.net_mm == pytest.approx(9.0, abs=1e-12)


def test_the_chain_of_one_zone_by_hand():
    # 40 mm/h for 9 min in cycles of 4: 4, 4 and 1. The last minute is too short: 0.667 mm of 6 mm. Of 5.333
    # mm 5 % is lost in the air (0.267), 5.067 lands on a soil that takes it all, 0.8 of it is usable:
    # 4.053, uneven 1.013.
    chain = net_depth(9.0, Application(40.0, 0.95, 0.8, 100.0, 5.0), cycle_min=4.0)
    assert chain.gross_mm == pytest.approx(6.0)
    assert chain.short_mm == pytest.approx(0.6666667)
    assert chain.air_mm == pytest.approx(0.2666667)
    assert chain.runoff_mm == 0.0
    assert chain.net_mm == pytest.approx(4.0533333)
    assert chain.uneven_mm == pytest.approx(1.0133333)


@pytest.mark.parametrize(("minutes", "net"), [(0.0, 0.0), (2.9, 0.0), (3.0, 2.0), (6.5, 4.3333333)])
def test_a_cycle_under_three_minutes_counts_as_no_water(minutes, net):
    # Common practice, no source.
    assert net_depth(minutes, Application(40.0, 1.0, 1.0, 100.0, 5.0)).net_mm == pytest.approx(net)


def test_an_unknown_value_spoils_only_its_own_run():
    soils = Application([40.0, np.nan, 40.0], 1.0, 1.0, 100.0, 5.0)
    net = net_depth([9.0, 9.0, np.nan], soils).net_mm
    assert net[0] == pytest.approx(6.0)
    assert np.isnan(net[1:]).all()


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"rate_mm_h": 0.0}, "rate_mm_h is 0, accepted range above 0"),
        ({"ground_share": 1.2}, "ground_share is 1.2, accepted range 0 to 1"),
        ({"usable_share": -0.1}, "usable_share is -0.1"),
        ({"intake_mm_h": -3.0}, "intake_mm_h is -3"),
        ({"accumulation_mm": -1.0}, "accumulation_mm is -1"),
    ],
)
def test_a_value_out_of_range_is_refused_by_name(change, message):
    good = {
        "rate_mm_h": 40.0,
        "ground_share": 1.0,
        "usable_share": 1.0,
        "intake_mm_h": 9.0,
        "accumulation_mm": 5.0,
    }
    with pytest.raises(ValueError, match=message):
        net_depth(9.0, Application(**(good | change)))


def test_minutes_below_zero_and_cycles_of_no_length_are_refused():
    with pytest.raises(ValueError, match="minutes is -1"):
        net_depth(-1.0, ZONE_1)
    with pytest.raises(ValueError, match="cycle_min is 0"):
        net_depth(1.0, ZONE_1, cycle_min=0.0)
    with pytest.raises(ValueError, match="uniformity is 65, accepted range 0 to 1"):
        run_time_multiplier(65)


@settings(max_examples=300, deadline=None)
@given(
    minutes=st.floats(0, 180),
    cycle=st.floats(1, 60),
    soak=st.floats(0, 120),
    rate=st.floats(1, 150),
    ground=st.floats(0, 1),
    usable=st.floats(0, 1),
    intake=st.floats(0.5, 60),
    accumulation=st.floats(0, 15),
)
def test_the_gross_depth_is_always_the_sum_of_where_it_went(
    minutes, cycle, soak, rate, ground, usable, intake, accumulation
):
    soil = Application(rate, ground, usable, intake, accumulation)
    chain = net_depth(minutes, soil, cycle_min=cycle, soak_min=soak)
    parts = (chain.air_mm, chain.short_mm, chain.runoff_mm, chain.uneven_mm, chain.net_mm)
    assert sum(parts) == pytest.approx(rate * minutes / 60, abs=1e-9)
    assert all(part >= -1e-9 for part in parts)


@settings(max_examples=200, deadline=None)
@given(
    minutes=st.floats(3, 180),
    rate=st.floats(10, 150),
    ground=st.floats(0.8, 1),
    intake=st.floats(1, 60),
    accumulation=st.floats(2, 15),
)
def test_longest_cycles_with_shortest_soaks_never_run_off(minutes, rate, ground, intake, accumulation):
    water = {"intake_mm_h": intake, "ground_share": ground}
    cycle = longest_cycle_min(rate, accumulation_mm=accumulation, **water)
    soak = shortest_soak_min(np.minimum(cycle, minutes), rate_mm_h=rate, **water)
    chain = net_depth(
        minutes, Application(rate, ground, 1.0, intake, accumulation), cycle_min=cycle, soak_min=soak
    )
    assert chain.runoff_mm == pytest.approx(0.0, abs=1e-9)
