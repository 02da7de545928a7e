"""Bills in tiers, and a saving at the tiers it really avoids."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.numerics.bill import LITRES, Tier, bill, cents, in_units, volume_charge, worth

# Glendale CA, single-family tiers from 1 July 2018, per HCF: rates printed, bills reckoned by hand.
GLENDALE = [Tier(D(0), D("2.61")), Tier(D(8), D("3.84")), Tier(D(15), D("3.99"))]
# Charlotte NC, irrigation meter: 1 to 16 Ccf at 5.91, then 11.20 (rates printed).
CHARLOTTE = [Tier(D(0), D("5.91")), Tier(D(16), D("11.20"))]
LOTS = st.decimals(0, 500, places=3)


@pytest.mark.parametrize(
    ("tiers", "used", "charge"),
    [
        (GLENDALE, "20", "67.71"),  # 8 x 2.61 + 7 x 3.84 + 5 x 3.99
        (GLENDALE, "8", "20.88"),
        (GLENDALE, "8.5", "22.80"),
        (GLENDALE, "0", "0.00"),
        (CHARLOTTE, "16", "94.56"),
        (CHARLOTTE, "17", "105.76"),
        # Canby OR, flat 3.16 a CCF (2024, printed): a flat price is one tier
        ([Tier(D(0), D("3.16"))], "20", "63.20"),
    ],
)
def test_a_bill_is_the_sum_of_its_blocks(tiers, used, charge):
    assert bill(D(used), tiers) == D(charge)
    assert bill(D(used), tiers, fixed=D("12.30")) == D(charge) + D("12.30")


def test_whole_units_are_billed_where_the_tariff_says_so():
    assert bill(D("16.999"), CHARLOTTE, whole=True) == bill(D(16), CHARLOTTE)
    assert bill(D("17.0"), CHARLOTTE, whole=True) == bill(D(17), CHARLOTTE)


def test_a_short_bill_has_narrower_tiers_only_where_they_are_prorated():
    # half a bill: 4 x 2.61 + 3.5 x 3.84 + 2.5 x 3.99, half of the whole one's
    assert bill(D(10), GLENDALE, share=D("0.5")) == cents(D("67.71") / 2)
    assert bill(D(10), GLENDALE) == D("28.56")


def test_a_saving_is_worth_the_tiers_it_avoids():
    # from 20 down to 12: 5 x 3.99 + 3 x 3.84, not 8 x 67.71 / 20 = 27.08
    assert worth(D(8), D(12), GLENDALE) == D("31.47")
    assert worth(D(-8), D(20), GLENDALE) == -D("31.47")
    assert worth(D(-8), D(5), GLENDALE) == -D("13.05")  # no more than all of it


@given(used=LOTS, one=LOTS, two=LOTS)
def test_savings_one_after_the_other_add_up(used: D, one: D, two: D):
    apart = worth(one, used, GLENDALE) + worth(two, used + one, GLENDALE)
    assert apart == worth(one + two, used, GLENDALE)


@given(used=LOTS, saved=LOTS)
def test_where_prices_rise_a_saving_is_worth_at_least_its_share_of_the_bill(used: D, saved: D):
    whole = volume_charge(used + saved, GLENDALE)
    if used + saved:
        assert (
            worth(saved, used, GLENDALE)
            >= (whole * saved / (used + saved)).quantize(D("0.0001")) - D(1) / 1000
        )


@pytest.mark.parametrize(
    ("unit", "litres"),
    # NIST SP 811, appendix B.8: 1 US gal is 3.785412 L, 1 ft3 28.31685 L
    [("gal", 3.785412), ("kgal", 3785.412), ("ccf", 2831.685), ("m3", 1000.0), ("l", 1.0)],
)
def test_units_of_a_bill(unit, litres):
    assert float(LITRES[unit]) == pytest.approx(litres, rel=2e-7)
    assert float(in_units(litres, unit)) == pytest.approx(1.0, rel=2e-7)


def test_a_hundred_cubic_feet_are_the_gallons_utilities_print():
    # Glendale CA rate page, Colton CA ordinance O-008-14: 748 gal
    assert float(LITRES["ccf"] / LITRES["gal"]) == pytest.approx(748, abs=0.06)


@pytest.mark.parametrize(
    "tiers", [[], [Tier(D(1), D(1))], [Tier(D(0), D(1)), Tier(D(8), D(2)), Tier(D(8), D(3))]]
)
def test_tiers_that_are_none_are_refused(tiers):
    with pytest.raises(ValueError, match="tiers"):
        volume_charge(D(1), tiers)


def test_no_bill_for_less_than_no_water_or_no_time():
    with pytest.raises(ValueError, match="used"):
        volume_charge(D(-1), GLENDALE)
    with pytest.raises(ValueError, match="share"):
        volume_charge(D(1), GLENDALE, share=D(0))
