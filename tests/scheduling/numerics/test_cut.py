"""A cut spread over zones: what it keeps whatever the needs, and by hand."""

from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduling.numerics.cut import spread_cut

UNHURRIED = settings(
    deadline=None, suppress_health_check=[HealthCheck.too_slow]
)  # a busy machine is no fault
ZONES = st.lists(st.tuples(st.floats(0, 1e6), st.integers(1, 4), st.floats(0, 1)), min_size=1, max_size=12)


@UNHURRIED
@given(ZONES, st.floats(0, 1))
def test_what_a_cut_keeps_whatever_the_needs(zones, share):
    need, rank, least = (np.array(column) for column in zip(*zones, strict=True))
    held = spread_cut(need, share=share, rank=rank, least_share=least)
    assert (held >= 0).all() and (held <= 1).all()
    assert (held * need).sum() == pytest.approx(share * need.sum(), rel=1e-9, abs=1e-6)
    enough = share * need.sum() >= (least * need).sum()
    if enough:
        assert (held >= least - 1e-12).all()
    else:
        assert (held <= least + 1e-12).all()
    for ahead in range(1, 4):
        short = ((rank <= ahead) & (held < 1 - 1e-9) & (need > 1e-3)).any()
        if enough and short:
            above = (rank > ahead) & (need > 1e-3) & (held > least + 1e-6)
            assert not above.any()  # nobody behind gets more than the least while somebody ahead lacks


def test_trees_before_shrubs_before_turf_by_hand():
    # Needs 100, 200, 700; 20 % less leaves 800. Least: 70 + 100 + 210 = 380, so 420 remain: trees take 30,
    # shrubs 100, turf the other 290 of the 490 it lacks: 210 + 290 = 500 of 700.
    held = spread_cut([100, 200, 700], share=0.8, rank=np.array([1, 2, 3]), least_share=[0.7, 0.5, 0.3])
    np.testing.assert_allclose(held, [1.0, 1.0, 500 / 700])


def test_zones_of_one_rank_lack_alike():
    # 60 of 100: least 20 each of 50; 20 remain for the 60 that lack, a third: 0.4 + 0.6 / 3.
    held = spread_cut([50, 50], share=0.6, rank=np.array([2, 2]), least_share=0.4)
    np.testing.assert_allclose(held, [0.6, 0.6])


def test_where_the_least_is_too_much_all_go_below_it_alike():
    held = spread_cut([100, 100], share=0.3, rank=np.array([1, 2]), least_share=[0.8, 0.4])
    np.testing.assert_allclose(held, [0.4, 0.2])


def test_zones_that_need_nothing_keep_their_least():
    assert spread_cut([0.0], share=0.0, rank=np.array([1]), least_share=1.0).tolist() == [1.0]


def test_an_unknown_need_leaves_all_unknown():
    assert np.isnan(spread_cut([1, np.nan], share=0.5, rank=np.array([1, 1]), least_share=0.2)).all()


@pytest.mark.parametrize(
    ("name", "said"),
    [("need", {"need": [-1.0]}), ("share", {"share": 1.2}), ("least_share", {"least_share": -0.1})],
)
def test_what_is_out_of_range_is_named(name, said):
    usual: dict[str, Any] = {"need": [1.0], "share": 0.5, "rank": np.array([1]), "least_share": 0.2}
    usual |= said
    with pytest.raises(ValueError, match=f"^{name} is"):
        spread_cut(usual.pop("need"), **usual)
