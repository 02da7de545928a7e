"""The flow of a running zone: from a bucket or a meter, and whether it is as expected."""

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from fleet.numerics.ranges import Floats, above_zero, within

SECONDS_PER_MINUTE = 60.0

# How far a flow may be from what was expected. Common practice, no source: an earlier test of the same zone
# is a good guide, a rate from a table times an area is a rough one.
OFF_FROM_TEST = 0.15
OFF_FROM_SURVEY = 0.30

Against = Literal["lower", "as expected", "higher"]


def flow_of_volume(volume_l: ArrayLike, seconds: ArrayLike) -> Floats:
    """Flow that fills a volume in some seconds: a bucket under a head, or two readings of a meter.

    Parameters
    ----------
    volume_l : array_like
        Volume, 0 or more. [L]
    seconds : array_like
        Time it took, above 0. [s]

    Returns
    -------
    ndarray
        Flow. [L/min]

    Raises
    ------
    ValueError
        If an argument is out of range.
    """
    return np.asarray(within("volume_l", volume_l) * SECONDS_PER_MINUTE / above_zero("seconds", seconds))


def flow_expected(rate_mm_h: ArrayLike, area_m2: ArrayLike) -> Floats:
    """Flow a zone takes if it waters its area at a rate: the total area method turned round.

    Parameters
    ----------
    rate_mm_h : array_like
        Precipitation rate, 0 or more. [mm/h]
    area_m2 : array_like
        Area it waters, above 0. [m2]

    Returns
    -------
    ndarray
        Flow. [L/min]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] ``PR = 96.25 gpm / ft2`` in customary units, solved for the flow.
    """
    return np.asarray(within("rate_mm_h", rate_mm_h) * above_zero("area_m2", area_m2) / 60.0)


def off_by(flow_l_min: float, expected_l_min: float) -> float:
    """Return by which share a flow is over (above 0) or under (below 0) the expected one. [-]

    Raises
    ------
    ValueError
        If the flow is negative or the expected one isn't above 0.
    """
    expected = float(above_zero("expected_l_min", expected_l_min))
    return float(within("flow_l_min", flow_l_min)) / expected - 1.0


def against(flow_l_min: float, expected_l_min: float, *, tolerance: float) -> Against:
    """Tell whether a flow is as expected, within a share of it.

    Parameters
    ----------
    flow_l_min, expected_l_min
        Measured flow, 0 or more, and expected flow, above 0. [L/min]
    tolerance
        How far it may be off, 0 or more. [-]

    Raises
    ------
    ValueError
        If an argument is out of range.
    """
    share = off_by(flow_l_min, expected_l_min)
    if abs(share) <= float(within("tolerance", tolerance)) + 1e-9:
        return "as expected"
    return "higher" if share > 0 else "lower"
