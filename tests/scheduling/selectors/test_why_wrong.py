"""What being wrong would have done to a decision, by hand for the zone of ``inputs_of``."""

import pytest

from scheduling.selectors.why import read_inputs
from scheduling.selectors.why_wrong import if_wrong
from tests.cast import Cast
from tests.desk.rows import inputs_of


def test_each_error_is_lived_through_by_hand(cast: Cast):
    """Start 19, TAW 40, RAW 20, ET 6, 10 mm on days 1, 3 and 5, rain 2.8 on day 2; FAO-56 eqs. 84 and 85.

    As believed only day 4 begins beyond RAW, at 20.2: Ks 0.99. With 8 mm days 2, 4 and 5 begin at 20.2, 24.14
    and 20.898: 34.429 of 36 mm. With TAW 30 and RAW 15 days 0, 2 and 4 begin at 19, 16.6 and 17.96: 32.576.
    """
    stored = inputs_of(cast.zone, proposed=100)
    stored["units"][0]["start_mm"] = 19.0
    seen = read_inputs(stored)
    assert seen.deciding is not None
    found = {one.name: one for one in if_wrong(seen, seen.deciding)}
    assert found["believed"].met == pytest.approx(35.94 / 36)
    assert found["efficiency"].met == pytest.approx(34.4286 / 36, abs=1e-5)
    assert found["soil"].met == pytest.approx(32.576 / 36, abs=1e-5)
    assert [found[name].slow_days for name in ("believed", "efficiency", "soil")] == [1, 3, 3]


def test_a_start_drier_than_believed_costs_growth(cast: Cast):
    """From 20 day 4 begins at 21.2: Ks 0.94, 5.64 of 6 mm."""
    seen = read_inputs(inputs_of(cast.zone, proposed=100))
    assert seen.deciding is not None
    found = {one.name: one for one in if_wrong(seen, seen.deciding)}
    assert (found["believed"].met, found["believed"].slow_days) == (1.0, 0)
    assert found["start"].met == pytest.approx(35.64 / 36)
