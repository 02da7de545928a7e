"""How a percent moves when the weather does.

For a program of like zones more rain never raises the percent and more ET never lowers it. The reason: a
percent is enough when more water would not lessen the stress, because the store overflows before the
stressed days. More rain only makes it overflow sooner.

Two things make exceptions, both rare and both measured here. The tolerance: a percent whose stress is just
outside it on a dry day may fall just inside with more ET. And unlike zones under one percent: only the
worst zone counts, so a zone that is dry whatever the percent hides another that could be helped; rain on it
uncovers the other. (The measured sample is invented but ordinary: 2 to 7 days a week, depths near the
need.)
"""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.numerics.percent_search import search
from tests.scheduling.numerics.decisions import decisions, moved, rain_for

SEEDS = st.integers(0, 2**32 - 1)


@settings(max_examples=40, deadline=None)
@given(seed=SEEDS)
def test_more_rain_never_raises_the_percent_of_a_zone_of_its_own(seed):
    inputs = decisions(seed, 50, 1)
    assert (moved(inputs, tolerance=0.0, rain_mm=rain_for(seed, inputs)) <= 0).all()


@settings(max_examples=40, deadline=None)
@given(seed=SEEDS, factor=st.floats(1.0, 1.5))
def test_more_et_never_lowers_the_percent_of_a_zone_of_its_own(seed, factor):
    inputs = decisions(seed, 50, 1)
    assert (moved(inputs, tolerance=0.0, et_mm=inputs["et_mm"] * factor) >= 0).all()


@pytest.mark.parametrize(
    ("zones", "raised_at_most", "lowered_at_most"),
    [(1, 0.001, 0.002), (4, 0.01, 0.02)],  # measured on 20,000 programs: 0.0002, 0.0006; 0.004, 0.012
)
def test_with_the_tolerance_and_unlike_zones_exceptions_stay_rare(zones, raised_at_most, lowered_at_most):
    inputs = decisions(20_240_601, 4_000, zones)
    rain = rain_for(7, inputs)
    assert (moved(inputs, rain_mm=rain) > 0).mean() <= raised_at_most
    wet = inputs | {"rain_mm": rain}
    assert (moved(wet, et_mm=wet["et_mm"] * 1.1) < 0).mean() <= lowered_at_most


def test_rain_on_a_zone_dry_whatever_the_percent_uncovers_another():
    # By hand, one day judged, watered that morning; stress begins at 18 of 20 mm RAW, 40 TAW. Zone 0 gets 1
    # mm a start at most: ends at 36.5, 36 or 35.5. Zone 1 ends at 25, 21 or 17 (0, 4, 8 mm). Dry: zone 0's
    # stress 0.925, 0.90, 0.875 decides. With 20 mm of rain on it alone, zone 1 decides: 0.35, 0.15, 0. A
    # tolerance of 0.06 takes the lowest percent in the first case, the highest in the second.
    inputs: dict[str, Any] = {
        "percents": np.array([0.0, 0.5, 1.0]),
        "net_mm": np.array([[0.0, 0.0], [0.5, 4.0], [1.0, 8.0]]),
        "kept_net_mm": np.zeros(2),
        "starts": np.array([[0, 0], [1, 1]]),
        "unit_of_run": np.array([0, 1]),
        "group_of_unit": np.array([0, 0]),
        "first_day": np.array([1]),
        "last_day": np.array([1]),
        "fixed_mm": np.zeros((2, 2)),
        "start_depletion_mm": np.array([36.5, 20.0]),
        "et_mm": np.array([[0.0, 0.0], [0.0, 5.0]]),
        "rain_mm": np.zeros((2, 2)),
        "taw_mm": np.array([40.0, 40.0]),
        "raw_mm": np.array([20.0, 20.0]),
        "allowed": np.ones((3, 1), dtype=bool),
    }
    dry = search(**inputs, tolerance=0.06)
    assert dry.stress[:, 0] == pytest.approx([0.925, 0.90, 0.875])
    assert dry.index.tolist() == [0]
    rain = np.array([[0.0, 0.0], [20.0, 0.0]])
    wet = search(**(inputs | {"rain_mm": rain}), tolerance=0.06)
    assert wet.stress[:, 0] == pytest.approx([0.35, 0.15, 0.0])
    assert wet.index.tolist() == [2]
