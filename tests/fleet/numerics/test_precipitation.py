"""Precipitation rate against printed examples in customary units, converted here by exact factors."""

import numpy as np
import pytest

from fleet.numerics.precipitation import rate_from_flow, rate_from_spacing, rate_of_dripline

L_PER_GALLON = 3.785411784  # exact
M_PER_FOOT = 0.3048  # exact
M2_PER_FT2 = 0.09290304  # exact
MM_PER_INCH = 25.4  # exact


def test_one_gallon_a_minute_on_one_square_foot_is_96_25_inches_an_hour():
    # The trade's constant, 60 x 231 / 144; both 96.25 and 96.3 are in print, 96.25 is exact.
    rate = rate_from_flow(L_PER_GALLON, M2_PER_FT2)
    assert rate / MM_PER_INCH == pytest.approx(96.25, rel=1e-12)


def test_total_area_method_gives_the_teaching_slides_rate():
    # "Sprinkler Precipitation Rates", public teaching slides: 6 half heads at 1.0 gpm and 4 quarter heads at
    # 0.5 gpm on 60 x 15 ft: 8 gpm, 0.86 in/h.
    rate = rate_from_flow(8 * L_PER_GALLON, 900 * M2_PER_FT2)
    assert rate / MM_PER_INCH == pytest.approx(0.86, abs=0.005)


def test_row_spacing_already_given_is_not_reduced_again():
    # The same slides, 6 gpm full circle, 25 ft rows, 30 ft heads. They print 577.8 / 649.5 (0.89), reducing
    # the rows by 0.866 once more; with the rows as they are on the ground the rate is 0.770.
    rate = rate_from_spacing(6 * L_PER_GALLON, 30 * M_PER_FOOT, 25 * M_PER_FOOT)
    assert rate / MM_PER_INCH == pytest.approx(0.770, abs=0.0005)


def test_metric_rate_is_sixty_litres_a_minute_over_square_metres():
    # Constructed: 60 x 30 / 84.
    assert rate_from_flow(30.0, 84.0) == pytest.approx(21.428571428571427, rel=1e-12)


def test_dripline_of_one_gallon_an_hour_on_a_foot_by_a_foot_is_1_604_inches_an_hour():
    # 231 / 144, the constant in print for dripline.
    rate = rate_of_dripline(L_PER_GALLON, M_PER_FOOT, M_PER_FOOT)
    assert rate / MM_PER_INCH == pytest.approx(1.604, abs=0.0005)


def test_an_unknown_flow_stays_unknown():
    assert np.isnan(rate_from_flow([np.nan, 30.0], 84.0)).tolist() == [True, False]


@pytest.mark.parametrize("area", [0.0, -5.0])
def test_an_area_that_is_not_positive_is_refused(area):
    with pytest.raises(ValueError, match=r"area_m2 is .*accepted range above 0"):
        rate_from_flow(10.0, area)
