"""The search from fewer trials chooses what the whole one does."""

import numpy as np
import pytest

from scheduling.numerics.percent_search import search
from scheduling.numerics.quick_search import never_less, quick_search

PERCENTS = np.arange(201) / 100.0


def programs(rng, *, groups=300, days=9):
    """Programs of one to four zones of every sort, on controllers in steps of 1 to 25 %."""
    zones = rng.integers(1, 5, groups)
    group = np.repeat(np.arange(groups), zones)
    units = group.size
    taw = rng.uniform(8, 120, units)
    raw = taw * rng.uniform(0.2, 1.0, units)
    full = rng.uniform(1, 25, units)
    step = rng.choice([1, 5, 10, 25], groups)
    low, high = rng.integers(0, 60, groups), rng.integers(90, 201, groups)
    rows = np.arange(201)[:, np.newaxis]
    net = np.floor(PERCENTS[:, np.newaxis] * full * 4) / 4
    watered = rng.random((days, groups)) < rng.uniform(0.2, 1.0, groups)
    return {
        "percents": PERCENTS,
        "net_mm": net,
        "kept_net_mm": net[100],
        "starts": watered[:, group].astype(int),
        "unit_of_run": np.arange(units),
        "group_of_unit": group,
        "first_day": np.ones(groups, dtype=int),
        "last_day": np.full(groups, days - 1),
        "fixed_mm": np.zeros((days, units)),
        "start_depletion_mm": taw * rng.random(units),
        "et_mm": rng.uniform(0, 9, (days, units)),
        "rain_mm": np.where(rng.random((days, units)) < 0.2, rng.exponential(8, (days, units)), 0.0),
        "taw_mm": taw,
        "raw_mm": raw,
        "allowed": (rows % step == 0) & (rows >= low) & (rows <= high),
        "bearable": 0.1,
    }


@pytest.mark.parametrize("seed", range(4))
def test_it_chooses_the_same_percent_for_the_same_reason(seed):
    told = programs(np.random.default_rng(seed))
    assert never_less(told["net_mm"])
    one, two = search(**told), quick_search(**told)
    assert len(set(one.index.tolist())) > 30
    assert np.array_equal(one.index, two.index)
    assert np.array_equal(one.deciding_unit, two.deciding_unit)
    assert np.allclose(one.least, two.least)
    tried = np.isfinite(two.stress)
    assert np.array_equal(one.stress[tried], two.stress[tried])


def test_a_program_that_may_take_nothing_gets_nothing():
    told = programs(np.random.default_rng(5), groups=3)
    told["allowed"][:, 1] = False
    found = quick_search(**told)
    assert found.index[1] == -1
    assert found.deciding_unit[1] == -1
    assert (found.index[[0, 2]] >= 0).all()


def test_water_that_falls_with_the_percent_is_seen():
    assert not never_less(np.array([[0.0, 1.0], [2.0, 0.5]]))
