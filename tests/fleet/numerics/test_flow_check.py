"""Flow from a bucket or a meter, and what is expected of a zone."""

import numpy as np
import pytest

from fleet.numerics.flow_check import against, flow_expected, flow_of_volume, off_by

L_PER_GALLON = 3.785411784


def test_a_five_gallon_bucket_in_twenty_seconds_is_fifteen_gallons_a_minute():
    # By hand: 5 gal x 60 / 20.
    assert float(flow_of_volume(5 * L_PER_GALLON, 20)) / L_PER_GALLON == pytest.approx(15.0)


def test_the_expected_flow_is_the_total_area_method_turned_round():
    # Teaching slides on precipitation rates: 8 gpm on 60 x 15 ft water at 0.86 in/h.
    rate_mm_h, area_m2 = 0.86 * 25.4, 60 * 15 * 0.09290304
    assert float(flow_expected(rate_mm_h, area_m2)) / L_PER_GALLON == pytest.approx(8.0, abs=0.05)


def test_off_is_a_share_of_what_was_expected():
    assert off_by(60, 40) == pytest.approx(0.5)
    assert off_by(30, 40) == pytest.approx(-0.25)


@pytest.mark.parametrize(
    ("flow", "told"),
    [(46.0, "as expected"), (46.1, "higher"), (34.0, "as expected"), (33.9, "lower"), (0, "lower")],
)
def test_a_flow_within_the_tolerance_is_as_expected(flow, told):
    assert against(flow, 40, tolerance=0.15) == told


def test_nan_stays():
    assert np.isnan(flow_of_volume([1.0, np.nan], 20.0)).tolist() == [False, True]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: flow_of_volume(-1, 20), "volume_l"),
        (lambda: flow_of_volume(1, 0), "seconds"),
        (lambda: flow_expected(-1, 20), "rate_mm_h"),
        (lambda: flow_expected(1, 0), "area_m2"),
        (lambda: off_by(-1, 20), "flow_l_min"),
        (lambda: off_by(1, 0), "expected_l_min"),
        (lambda: against(1, 1, tolerance=-1), "tolerance"),
    ],
)
def test_impossible_flows_are_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
