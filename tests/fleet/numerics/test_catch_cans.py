"""Catch-can audits against published examples."""

import pytest

from fleet.numerics.catch_cans import audited, distribution_uniformity

# NC State University, R package spreval, reference pages CU, DU and DU.lh.
SPREVAL = [47, 42, 45, 24, 13, 26, 33, 34, 27, 30, 40, 44, 32, 12, 12]


def test_uniformities_of_the_published_example():
    found = audited(SPREVAL, minutes=15, throat_cm2=100)
    assert found.christiansen == pytest.approx(0.6913955, abs=5e-8)
    assert found.low_quarter == pytest.approx(0.4962039, abs=5e-8)
    assert found.low_half == pytest.approx(0.7158351, abs=5e-8)


def test_the_rate_in_customary_units_has_the_worksheets_constant():
    # Worksheets of the Irrigation Association: in/h = 3.66 x mL / (min x in2); 25 mL, 10 min, 16.5 in2.
    found = audited([25.0] * 24, minutes=10, throat_cm2=16.5 * 2.54**2)
    assert found.rate_mm_h / 25.4 == pytest.approx(3.66 * 25 / (10 * 16.5), rel=6e-4)
    assert found.rate_mm_h == pytest.approx(14.0909, abs=5e-5)  # 600 x 25 / (10 x 106.4514), by hand


def test_even_cans_are_even():
    found = audited([20.0] * 24, minutes=10, throat_cm2=100)
    assert (found.low_quarter, found.low_half, found.christiansen) == (1.0, 1.0, 1.0)


def test_fewer_than_two_dozen_cans_are_not_enough():
    assert not audited([10.0] * 23, minutes=10, throat_cm2=100).enough
    assert audited([10.0] * 24, minutes=10, throat_cm2=100).enough


def test_a_quarter_of_46_cans_is_12():
    # A published rotor audit has 46 cans; round(11.5), half to even, is 12.
    caught = [1.0] * 12 + [2.0] * 34
    assert distribution_uniformity(caught, share=0.25) == pytest.approx(1.0 / (80 / 46))


@pytest.mark.parametrize(
    ("cans", "more", "message"),
    [
        ([1, 2, 3], {}, "volumes_ml holds 3 cans"),
        ([0, 0, 0, 0], {}, "volumes_ml holds no water"),
        ([1, -1, 1, 1], {}, "volumes_ml"),
        ([1, float("nan"), 1, 1], {}, "volumes_ml"),
        ([1, 1, 1, 1], {"minutes": 0}, "minutes"),
        ([1, 1, 1, 1], {"throat_cm2": 0}, "throat_cm2"),
    ],
)
def test_impossible_audits_are_refused(cans, more, message):
    with pytest.raises(ValueError, match=message):
        audited(cans, **{"minutes": 10, "throat_cm2": 100, **more})
