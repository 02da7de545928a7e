"""The percent search: a hand-computed example, an exhaustive plain search beside it, and what it must never
do."""

from dataclasses import fields
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.numerics.percent_search import search, trace
from tests.scheduling.numerics.decisions import decisions, search_plainly


def two_zones(**changes):
    """One program of two zones over three days, watered every day; 0, 50 and 100 percent.

    Both hold 40 mm, 20 of it readily: stress begins above 18. Zone 0: 10 mm missing, ET 6, a start is 8 mm.
    Zone 1: 16 mm missing, ET 8, a start is 6 mm.
    """
    net = np.array([[0.0, 0.0], [4.0, 3.0], [8.0, 6.0]])
    inputs = {
        "percents": np.array([0.0, 0.5, 1.0]),
        "net_mm": net,
        "kept_net_mm": net[2],
        "starts": np.ones((3, 2), dtype=int),
        "unit_of_run": np.array([0, 1]),
        "group_of_unit": np.array([0, 0]),
        "first_day": np.array([1]),
        "last_day": np.array([2]),
        "fixed_mm": np.zeros((3, 2)),
        "start_depletion_mm": np.array([10.0, 16.0]),
        "et_mm": np.array([[6.0, 8.0]] * 3),
        "rain_mm": np.zeros((3, 2)),
        "taw_mm": np.array([40.0, 40.0]),
        "raw_mm": np.array([20.0, 20.0]),
        "allowed": np.ones((3, 1), dtype=bool),
    }
    return inputs | changes


def test_two_zones_over_three_days_by_hand():
    # Day 0 (watered the night before at 100 %): zone 0 ends at 8, zone 1 at 18. 0 %: zone 1 ends at 26,
    # then Ks 0.7: 31.6; (8 + 13.6) / 20 / 2 = 0.54. Zone 0: 14, 20: 0.05. 50 %: zone 1 23, 28: (5 + 10) /
    # 40 = 0.375. 100 %: 20, 22: (2 + 4) / 40 = 0.15. Zone 0 has no stress in either.
    choice = search(**two_zones())
    assert choice.stress[:, 0] == pytest.approx([0.54, 0.375, 0.15])
    assert choice.index.tolist() == [2]
    assert choice.least == pytest.approx([0.15])
    assert choice.deciding_unit.tolist() == [1]
    assert choice.left_out.tolist() == [False, False]


def test_the_smallest_percent_within_the_tolerance_is_taken():
    assert search(**two_zones(), tolerance=0.23).index.tolist() == [1]
    assert search(**two_zones(), tolerance=0.40).index.tolist() == [0]


def test_where_the_lowest_allowed_is_chosen_its_worst_zone_decides():
    choice = search(**two_zones(), tolerance=0.40)
    assert choice.deciding_unit.tolist() == [1]


def test_a_percent_that_is_not_allowed_is_never_taken():
    choice = search(**two_zones(allowed=np.array([[True], [True], [False]])))
    assert choice.index.tolist() == [1]
    assert choice.least == pytest.approx([0.375])
    assert choice.stress[2, 0] == pytest.approx(0.15)


def test_where_nothing_is_allowed_nothing_is_chosen():
    choice = search(**two_zones(allowed=np.zeros((3, 1), dtype=bool)))
    assert choice.index.tolist() == [-1]
    assert np.isnan(choice.least[0])
    assert choice.deciding_unit.tolist() == [-1]


def test_water_before_the_first_day_is_that_of_the_percent_now_in_force():
    # First day 2: zone 1 ends day 1 at 20 whatever the candidate; day 2 at 0 %: 28, at 100 %: 22.
    choice = search(**two_zones(first_day=np.array([2])))
    assert choice.stress[:, 0] == pytest.approx([0.5, 0.35, 0.2])


def test_days_after_the_last_are_not_judged():
    choice = search(**two_zones(last_day=np.array([1])))
    assert choice.stress[:, 0] == pytest.approx([0.4, 0.25, 0.1])


def test_water_from_elsewhere_and_rain_help_every_candidate():
    # 6 mm on days 1 and 2 stand in for a whole watering of zone 1.
    helped = np.array([[0.0, 0.0], [0.0, 6.0], [0.0, 6.0]])
    for water in ("fixed_mm", "rain_mm"):
        choice = search(**two_zones(**{water: helped}))
        assert choice.stress[0, 0] == pytest.approx(0.15)


def test_a_zone_with_two_runs_in_its_group_gets_both():
    # Zone 1's depth split over two runs, given in any order.
    net = np.array([[0.0, 0.0, 0.0], [1.0, 4.0, 2.0], [2.0, 8.0, 4.0]])
    choice = search(
        **two_zones(
            net_mm=net, kept_net_mm=net[2], starts=np.ones((3, 3), dtype=int), unit_of_run=np.array([1, 0, 1])
        )
    )
    assert choice.stress[:, 0] == pytest.approx([0.54, 0.375, 0.15])


def test_a_zone_without_runs_is_judged_all_the_same():
    choice = search(
        **two_zones(
            net_mm=np.array([[0.0], [4.0], [8.0]]),
            kept_net_mm=np.array([8.0]),
            starts=np.ones((3, 1), dtype=int),
            unit_of_run=np.array([0]),
        )
    )
    assert choice.deciding_unit.tolist() == [1]
    assert choice.stress[0, 0] == choice.stress[2, 0]
    assert choice.index.tolist() == [0]


@pytest.mark.parametrize(("bearable", "row"), [(0.0, 1), (0.14, 1), (0.16, 0)])
def test_a_percent_that_can_be_borne_needs_no_better(bearable, row):
    """Zone 1 with 6 mm missing ends day 0 at 8. 0 %: 16, 24: 6 / 20 / 2 = 0.15.

    That is 4 of the 20 mm to wilting on the worst day. 50 %: 13, 18: no stress. Zone 0 at 0 %: 14, 20: 0.05.
    """
    inputs = two_zones(start_depletion_mm=np.array([10.0, 6.0]))
    choice = search(**inputs, bearable=bearable)
    assert choice.stress[:, 0] == pytest.approx([0.15, 0.0, 0.0])
    assert choice.index.tolist() == [row]


def test_a_day_too_dry_is_not_borne_however_the_mean_is():
    """At 50 % zone 1 ends at 28, 8 of the 20 mm to wilting: more than a fifth; 0.375 would be bearable."""
    assert search(**two_zones(), bearable=0.4).index.tolist() == [2]


def test_what_nobody_can_help_is_not_made_worse_for_what_could_be_borne():
    """The least reachable stress, 0.15, lies above 0.1: only the tolerance is given away."""
    assert search(**two_zones(), bearable=0.1).index.tolist() == [2]
    assert search(**two_zones(), bearable=0.1, tolerance=0.23).index.tolist() == [1]


@pytest.mark.parametrize(
    "spoilt", ["taw_mm", "raw_mm", "start_depletion_mm", "et_mm", "rain_mm", "net_mm", "kept_net_mm"]
)
def test_a_zone_with_an_unknown_value_is_left_out_and_named(spoilt):
    inputs = two_zones()
    inputs[spoilt] = inputs[spoilt].astype(float)
    inputs[spoilt][..., 1] = np.nan
    choice = search(**inputs)
    assert choice.left_out.tolist() == [False, True]
    assert choice.stress[:, 0] == pytest.approx([0.05, 0.0, 0.0])
    assert choice.index.tolist() == [1]
    assert choice.deciding_unit.tolist() == [0]


def test_empty_and_wholly_unknown_groups_get_no_choice_and_disturb_nobody():
    # Group 0 has no units, group 1 both zones, group 2 nothing, group 3 one zone without a soil.
    inputs = two_zones()
    for name in ("net_mm", "starts", "fixed_mm", "et_mm", "rain_mm"):
        inputs[name] = np.concatenate([inputs[name], inputs[name][:, :1]], axis=1)
    for name in ("kept_net_mm", "start_depletion_mm", "taw_mm", "raw_mm"):
        inputs[name] = np.append(inputs[name], inputs[name][0])
    inputs["taw_mm"][2] = np.nan
    choice = search(
        **inputs
        | {
            "unit_of_run": np.arange(3),
            "group_of_unit": np.array([1, 1, 3]),
            "first_day": np.array([1, 1, 2, 1]),
            "last_day": np.full(4, 2),
            "allowed": np.ones((3, 4), dtype=bool),
        }
    )
    assert choice.index.tolist() == [-1, 2, -1, -1]
    assert choice.deciding_unit.tolist() == [-1, 1, -1, -1]
    assert np.isnan(choice.stress[:, [0, 2, 3]]).all()
    assert choice.stress[:, 1] == pytest.approx([0.54, 0.375, 0.15])


def test_a_service_without_programs_has_nothing_to_choose():
    empty: dict[str, Any] = {name: np.zeros((3, 0)) for name in ("net_mm", "fixed_mm", "et_mm", "rain_mm")}
    empty |= {name: np.zeros(0) for name in ("kept_net_mm", "start_depletion_mm", "taw_mm", "raw_mm")}
    none = np.zeros(0, dtype=int)
    empty |= dict.fromkeys(("unit_of_run", "group_of_unit", "first_day", "last_day"), none)
    choice = search(
        **two_zones(**empty, starts=np.zeros((3, 0), dtype=int), allowed=np.ones((3, 0), dtype=bool))
    )
    assert choice.index.size == 0


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"first_day": np.array([0])}, "first_day, last_day are 0, 2, accepted 1 <= first <= last < 3"),
        ({"last_day": np.array([3])}, "first_day, last_day are 1, 3"),
        ({"percents": np.array([0.0, 1.0, 0.5])}, "percents are not sorted"),
        (
            {"group_of_unit": np.array([1, 0]), "first_day": np.array([1, 1]), "last_day": np.array([2, 2])},
            "not sorted",
        ),
        ({"group_of_unit": np.array([0, 1])}, "group_of_unit holds 1"),
        ({"unit_of_run": np.array([0, 2])}, "unit_of_run holds 2"),
        ({"allowed": np.ones((2, 1), dtype=bool)}, "allowed has shape"),
        ({"starts": np.ones((2, 2), dtype=int)}, "starts has shape"),
        ({"raw_mm": np.array([0.0, 20.0])}, "raw_mm is 0, accepted range above 0"),
        ({"raw_mm": np.array([50.0, 20.0])}, "raw_mm is above taw_mm"),
        ({"rain_mm": np.full((3, 2), -1.0)}, "rain_mm is -1"),
        ({"margin": 90}, "margin is 90, accepted range 0 to 1"),
    ],
)
def test_wrong_inputs_are_refused_by_name(change, message):
    with pytest.raises(ValueError, match=message):
        search(**two_zones(**change))


def mixed(seed, groups):
    """Decisions with some candidates forbidden, water from elsewhere, rain, and runs shared out unevenly."""
    rng = np.random.default_rng(seed)
    inputs = decisions(seed, groups, 3, percents=9)
    units, days = 3 * groups, len(inputs["et_mm"])
    runs = np.sort(rng.integers(0, units, units + groups))
    rng.shuffle(runs)
    inputs |= {
        "unit_of_run": runs,
        "net_mm": inputs["net_mm"][:, runs],
        "kept_net_mm": inputs["kept_net_mm"][runs],
        "starts": inputs["starts"][:, runs] * rng.integers(1, 3, runs.size),
        "fixed_mm": np.where(rng.random((days, units)) < 0.1, 5.0, 0.0),
        "rain_mm": np.where(rng.random((days, units)) < 0.1, rng.gamma(1.0, 8.0, (days, units)), 0.0),
        "allowed": rng.random((9, groups)) < 0.8,
        "last_day": rng.integers(5, days, groups),
    }
    return inputs


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_the_choice_is_that_of_trying_every_percent_one_by_one(seed):
    inputs = mixed(seed, 3)
    choice = search(**inputs)
    for group in range(3):
        index, stress, deciding = search_plainly(inputs, group)
        assert choice.stress[:, group] == pytest.approx(stress, abs=1e-9)
        assert (choice.index[group], choice.deciding_unit[group]) == (index, deciding)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), tolerance=st.floats(0, 0.2))
def test_the_choice_is_allowed_close_to_the_least_and_no_lower_one_is(seed, tolerance):
    inputs = mixed(seed, 5)
    choice = search(**inputs, tolerance=tolerance)
    for group, index in enumerate(choice.index):
        may = inputs["allowed"][:, group]
        if not may.any():
            assert index == -1
            continue
        assert may[index]
        stress = choice.stress[:, group]
        assert stress[index] <= stress[may].min() + tolerance
        assert (stress[:index][may[:index]] > stress[may].min() + tolerance).all()


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), at_once=st.integers(1, 40))
def test_blocks_of_any_size_choose_the_same(seed, at_once):
    inputs = mixed(seed, 12)
    inputs["taw_mm"][seed % 36] = np.nan
    whole, parts = search(**inputs, runs_at_once=10_000), search(**inputs, runs_at_once=at_once)
    for field in fields(whole):
        assert np.array_equal(getattr(whole, field.name), getattr(parts, field.name), equal_nan=True), (
            field.name
        )


def test_a_trace_is_the_depletion_computed_by_hand():
    # The two zones at 100 percent. Zone 0: 8; 8 - 8 + 6 = 6; 6 - 8 leaves 0 (2 drain), + 6 = 6. Zone 1: 18,
    # 20, 22.
    inputs = two_zones()
    ends = trace(
        net_mm=np.array([[8.0, 6.0]] * 3),
        **{name: inputs[name] for name in ("start_depletion_mm", "et_mm", "rain_mm", "taw_mm", "raw_mm")},
    )
    assert ends.T.tolist() == [[8.0, 6.0, 6.0], [18.0, 20.0, 22.0]]
