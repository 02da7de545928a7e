"""Amounts as people type and paste them while a site is set up."""

import pytest

from common.errors import Refused
from common.units import M2_PER_SQUARE_FOOT
from desk.blanks import without_thousands
from desk.set_up.amounts import AREA, RATE


@pytest.mark.parametrize(
    ("text", "square_feet"),
    [
        ("1,200", 1200),
        ("1,200 sq ft", 1200),
        ("12,500.5", 12500.5),
        ("1\u202f200 ft²", 1200),
        ("950", 950),
    ],
)
def test_thousands_are_read_where_units_are_us_customary(text, square_feet):
    assert AREA.read(text, "us") == pytest.approx(square_feet * M2_PER_SQUARE_FOOT)


@pytest.mark.parametrize(("text", "mm_h"), [("12.5", 12.5), ("1 200 m2", 1200), ("1,200.5", 1200.5)])
def test_thousands_are_read_where_units_are_metric_and_nothing_else_can_be_meant(text, mm_h):
    assert AREA.read(text, "metric") == pytest.approx(mm_h)


def test_a_comma_that_may_stand_before_decimals_is_asked_back():
    with pytest.raises(Refused, match=r"Type 1200, or 1\.200 if the comma stands before decimals"):
        AREA.read("1,200", "metric")


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("text", ["0,5", "0,500", "1,20", "1,2000", "12,34,567", "1, 200", "1200 mm"])
def test_what_is_no_thousands_is_refused(text, units):
    with pytest.raises(Refused):
        RATE.read(text, units)
    assert without_thousands(text) == text
