"""Areas from what a tape measures."""

import numpy as np
from numpy.typing import ArrayLike

from fleet.numerics.ranges import Floats, above_zero


def rectangle(length_m: ArrayLike, width_m: ArrayLike) -> Floats:
    """Area of a rectangle; sides above 0 [m], area [m2]. ValueError if a side is not positive."""
    return np.asarray(above_zero("length_m", length_m) * above_zero("width_m", width_m))


def triangle(a_m: ArrayLike, b_m: ArrayLike, c_m: ArrayLike) -> Floats:
    """Area of a triangle from its three sides.

    Parameters
    ----------
    a_m, b_m, c_m : array_like
        Sides, above 0. [m]

    Returns
    -------
    ndarray
        Area; NaN where a side is NaN. [m2]

    Raises
    ------
    ValueError
        If a side is not positive, or longer than the other two together.

    References
    ----------
    .. [1] Heron's formula.
    """
    a, b, c = above_zero("a_m", a_m), above_zero("b_m", b_m), above_zero("c_m", c_m)
    half = (a + b + c) / 2
    square = half * (half - a) * (half - b) * (half - c)
    if np.any(square < 0):
        raise ValueError("one side is longer than the other two together; measure again")
    return np.asarray(np.sqrt(square))


def circle(radius_m: ArrayLike) -> Floats:
    """Area of a circle; radius above 0 [m], area [m2]. ValueError if it is not positive."""
    return np.asarray(np.pi * above_zero("radius_m", radius_m) ** 2)


def slope_from_board(rise_m: ArrayLike, run_m: ArrayLike) -> Floats:
    """Slope by a level board: how far its low end is held up, over how long the board is.

    Parameters
    ----------
    rise_m : array_like
        Gap under the low end once the board is level, 0 or more. [m]
    run_m : array_like
        Length of the board, above 0. [m]

    Returns
    -------
    ndarray
        Slope. [percent]
    """
    rise = np.asarray(rise_m, dtype=np.float64)
    if np.any(rise < 0):
        raise ValueError("rise_m is negative, accepted range 0 and more")
    return np.asarray(100.0 * rise / above_zero("run_m", run_m))
