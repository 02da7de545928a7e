"""Small sums of the survey, each against figures worked by hand or given in textbooks."""

import numpy as np
import pytest

from fleet.numerics.areas import circle, rectangle, slope_from_board, triangle
from fleet.numerics.bucket import flow_from_bucket


def test_five_gallons_in_twenty_seconds_are_fifteen_gallons_a_minute():
    """60 x 5 / 20 = 15 gpm (extension leaflets' rule); 15 x 3.785411784 = 56.781 L/min."""
    assert float(flow_from_bucket(5 * 3.785411784, 20)) == pytest.approx(56.781, abs=0.001)


def test_flows_of_many_and_unknown_ones():
    assert flow_from_bucket([10.0, np.nan, 0.0], [30.0, 30.0, 5.0]).tolist()[::2] == [20.0, 0.0]
    assert np.isnan(flow_from_bucket(np.nan, 3.0))


@pytest.mark.parametrize(("volume", "seconds"), [(-1.0, 3.0), (1.0, 0.0), (1.0, -2.0)])
def test_a_bucket_that_cannot_be(volume, seconds):
    with pytest.raises(ValueError, match="accepted range"):
        flow_from_bucket(volume, seconds)


def test_areas():
    """3-4-5 is a right triangle of 6; 13-14-15 has 84 (Heron's own); a circle of radius 2 has 4 pi."""
    assert float(rectangle(3.0, 4.5)) == 13.5
    assert float(triangle(3.0, 4.0, 5.0)) == pytest.approx(6.0)
    assert float(triangle(13.0, 14.0, 15.0)) == pytest.approx(84.0)
    assert float(circle(2.0)) == pytest.approx(12.566370614)
    assert np.isnan(triangle(np.nan, 4.0, 5.0))


@pytest.mark.parametrize("sides", [(1.0, 2.0, 4.0), (0.0, 2.0, 2.0), (-1.0, 2.0, 2.0)])
def test_three_sides_that_make_no_triangle(sides):
    with pytest.raises(ValueError):
        triangle(*sides)


def test_a_gap_of_six_centimetres_under_a_board_of_two_metres_is_three_percent():
    assert float(slope_from_board(0.06, 2.0)) == pytest.approx(3.0)
    with pytest.raises(ValueError, match="rise_m"):
        slope_from_board(-0.1, 2.0)
    with pytest.raises(ValueError, match="run_m"):
        slope_from_board(0.1, 0.0)
