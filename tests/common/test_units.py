"""Every conversion against a literal. Factors: NIST Handbook 44, appendix C, where nothing else is said."""

import pytest

from common import units


@pytest.mark.parametrize(
    ("factor", "exact"),
    [
        (units.MM_PER_INCH, 25.4),
        (units.L_PER_GALLON, 3.785411784),  # 231 cubic inches
        (units.L_PER_M3, 1000.0),
        (units.M2_PER_SQUARE_FOOT, 0.09290304),
        (units.M_PER_FOOT, 0.3048),
        (units.M_S_PER_MILE_PER_HOUR, 0.44704),
        (units.KPA_PER_PSI, 6.894757293168361),
    ],
)
def test_factors_are_those_of_the_handbook(factor: float, exact: float):
    assert factor == pytest.approx(exact, rel=1e-12)


@pytest.mark.parametrize(
    ("unit", "litres"),
    [
        ("gal", 3.785411784),  # 231 in3 of 16.387064 mL each
        ("kgal", 3785.411784),
        ("ccf", 2831.6846592),  # 100 ft3 of 0.3048^3 m3 each
        ("m3", 1000.0),
        ("l", 1.0),
    ],
)
def test_units_of_water_meters_are_exact(unit: str, litres: float):
    assert units.L_PER_METER_UNIT[unit] == litres
    assert len(units.L_PER_METER_UNIT) == 5


def test_a_hundred_cubic_feet_are_748_gallons():
    # City of Glendale, California, water rates: "One HCF = 748 gallons"; exactly 748.0519.
    gallons = units.L_PER_CCF / units.L_PER_GALLON
    assert gallons == pytest.approx(748, abs=0.06)
    assert gallons == pytest.approx(748.0519, abs=5e-5)


def test_an_inch_on_a_square_foot_is_0_623_gallons():
    # 0.623 in the rates of Monte Vista Water District (2020), 0.62 in 23 CCR 490-495; exactly 144 / 231.
    litres = units.MM_PER_INCH * units.M2_PER_SQUARE_FOOT  # a millimetre on a square metre is a litre
    assert litres / units.L_PER_GALLON == pytest.approx(0.623, abs=5e-4)
    assert litres / units.L_PER_GALLON == pytest.approx(144 / 231, rel=1e-12)


def test_temperatures_meet_at_forty_below():
    assert units.fahrenheit(-40.0) == -40.0
    assert (units.fahrenheit(0.0), units.fahrenheit(100.0)) == (32.0, 212.0)
    assert units.celsius(50.0) == pytest.approx(10.0)
