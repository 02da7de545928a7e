"""Leaching against the worked example of FAO Irrigation and Drainage Paper 29."""

import numpy as np
import pytest

from fleet.numerics.leaching import extra_share, leaching_requirement


def test_maize_under_river_water():
    # FAO 29 (1985), section 2.4, from memory: ECw 1.2, ECe 2.5 dS/m (90 % yield) give LR 0.10, rounded.
    assert float(leaching_requirement(1.2, 2.5)) == pytest.approx(0.10, abs=0.01)
    # The same: 800 mm of ET and LR 0.10 want 890 mm, rounded.
    assert 800 * (1 + float(extra_share(0.10))) == pytest.approx(890, abs=1.5)


def test_by_hand():
    assert float(leaching_requirement(1.0, 2.0)) == pytest.approx(1 / 9)
    assert extra_share([0.0, 0.2, 0.5]) == pytest.approx([0.0, 0.25, 1.0])
    assert np.isnan(leaching_requirement(np.nan, 2.0))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: leaching_requirement(0, 2), "water_ds_m"),
        (lambda: leaching_requirement(1, 0), "soil_ds_m"),
        (lambda: leaching_requirement(10, 2), "no leaching"),
        (lambda: extra_share(-0.1), "leaching_share"),
        (lambda: extra_share(1.0), "leaching_share"),
    ],
)
def test_impossible_salt_is_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
