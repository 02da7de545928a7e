"""Precipitation rate from flow, area and spacing. In SI the customary constant 96.25 is plainly 60."""

import numpy as np
from numpy.typing import ArrayLike

from fleet.numerics.ranges import Floats, above_zero, within

MINUTES_PER_HOUR = 60.0


def rate_from_flow(flow_l_min: ArrayLike, area_m2: ArrayLike) -> Floats:
    """Precipitation rate by the total area method.

    Parameters
    ----------
    flow_l_min : array_like
        Flow of the whole zone, 0 or more. [L/min]
    area_m2 : array_like
        Area it waters, above 0. [m2]

    Returns
    -------
    ndarray
        Rate. [mm/h]

    Raises
    ------
    ValueError
        If a flow is negative or an area is not positive.

    References
    ----------
    .. [1] ``PR = 96.25 gpm / ft2`` in customary units; 96.25 = 60 x 231 / 144.
    """
    flow = within("flow_l_min", flow_l_min)
    area = above_zero("area_m2", area_m2)
    return np.asarray(MINUTES_PER_HOUR * flow / area)


def rate_from_spacing(
    full_circle_l_min: ArrayLike, head_spacing_m: ArrayLike, row_spacing_m: ArrayLike
) -> Floats:
    """Precipitation rate by the spacing method.

    ``row_spacing_m`` is the distance between rows as it is on the ground: for a triangular layout it is
    already 0.866 of the head spacing, and must not be reduced again. A half-circle head counts with twice
    its flow, a quarter with four times.

    Parameters
    ----------
    full_circle_l_min : array_like
        Flow of one head, as of a full circle, 0 or more. [L/min]
    head_spacing_m, row_spacing_m : array_like
        Distance between heads in a row and between rows, above 0. [m]

    Returns
    -------
    ndarray
        Rate. [mm/h]

    Raises
    ------
    ValueError
        If a flow is negative or a spacing is not positive.

    References
    ----------
    .. [1] ``PR = 96.25 gpm / (ft x ft)`` in customary units.
    """
    head = above_zero("head_spacing_m", head_spacing_m)
    row = above_zero("row_spacing_m", row_spacing_m)
    return rate_from_flow(full_circle_l_min, head * row)


def rate_of_dripline(
    emitter_l_h: ArrayLike, emitter_spacing_m: ArrayLike, row_spacing_m: ArrayLike
) -> Floats:
    """Precipitation rate of dripline over the area between its rows.

    Parameters
    ----------
    emitter_l_h : array_like
        Flow of one emitter, 0 or more. [L/h]
    emitter_spacing_m, row_spacing_m : array_like
        Distance between emitters and between rows, above 0. [m]

    Returns
    -------
    ndarray
        Rate. [mm/h]

    Raises
    ------
    ValueError
        If a flow is negative or a spacing is not positive.
    """
    flow = within("emitter_l_h", emitter_l_h) / MINUTES_PER_HOUR
    return rate_from_spacing(flow, emitter_spacing_m, row_spacing_m)
