"""TR-21's effective rain of a month, in inches and in millimetres."""

import numpy as np
import pytest

from reports.numerics.effective_rain import (
    month_effective_rain_in,
    month_effective_rain_mm,
    storage_factor,
)


def test_the_storage_factor():
    # NEH part 623, eq. 2-85, at 3 in: read in a public copy
    assert storage_factor(3.0) == pytest.approx(1.000674, abs=1e-6)
    # SCS Technical Release 21's table to two decimals, from memory
    assert storage_factor([0.75, 1.0, 1.5, 2.0, 2.5]) == pytest.approx(
        [0.72, 0.77, 0.86, 0.92, 0.97], abs=0.0051
    )


@pytest.mark.parametrize(
    ("rain", "et", "effective"),
    # The handbook's table for 3 in, two decimals; the first from memory, the others by hand
    [
        (1.0, 2.0, 0.66),
        (2.0, 4.0, 1.43),
        (3.0, 8.0, 2.56),
        (6.0, 6.0, 4.18),
        (0.5, 10.0, 0.50),
        (8.0, 10.0, 6.68),
    ],
)
def test_effective_rain_by_the_inch(rain, et, effective):
    assert month_effective_rain_in(rain, et, storage_in=3.0) == pytest.approx(effective, abs=0.0051)


def test_never_more_than_fell_or_was_used():
    rain, et = np.array([0.1, 4.0, 0.0]), np.array([10.0, 0.5, 5.0])
    assert (month_effective_rain_in(rain, et, storage_in=3.0) <= np.minimum(rain, et)).all()
    assert month_effective_rain_in(0.0, 5.0, storage_in=3.0) == 0.0


def test_millimetres_and_inches_tell_the_same():
    rain, et = np.meshgrid(np.linspace(0.5, 8.0, 16), np.linspace(2.0, 10.0, 9))
    by_inch = month_effective_rain_in(rain, et, storage_in=3.0) * 25.4
    by_mm = month_effective_rain_mm(rain * 25.4, et * 25.4, storage_mm=76.2)
    assert by_mm == pytest.approx(by_inch, abs=0.12)


def test_the_constants_for_millimetres_give_nothing_for_inches():
    # A mistake seen in published code: 1 in of rain taken for 1 mm
    assert month_effective_rain_mm(1.0, 2.0, storage_mm=76.2) == 0.0
    assert month_effective_rain_in(1.0, 2.0, storage_in=3.0) > 0.6


@pytest.mark.parametrize(
    ("rain", "et", "storage"), [(-1.0, 1.0, 3.0), (1.0, -1.0, 3.0), (1.0, 1.0, 0.0), (1.0, 1.0, 9.0)]
)
def test_what_no_month_can_be_is_refused(rain, et, storage):
    with pytest.raises(ValueError, match="0"):
        month_effective_rain_in(rain, et, storage_in=storage)
