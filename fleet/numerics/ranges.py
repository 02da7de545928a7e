"""One check for every numeric argument: inside its accepted range, or an error that names it."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def within(name: str, value: ArrayLike, *, low: float = 0.0, high: float = np.inf) -> Floats:
    """Return ``value`` as float64 if every element is NaN or inside ``low`` to ``high``, both included.

    Raises
    ------
    ValueError
        Naming the argument, the first value outside and the accepted range.
    """
    array = np.asarray(value, dtype=np.float64)
    outside = (array < low) | (array > high)
    if outside.any():
        raise ValueError(f"{name} is {array[outside].flat[0]:g}, accepted range {low:g} to {high:g}")
    return array


def above_zero(name: str, value: ArrayLike) -> Floats:
    """Return ``value`` as float64 if every element is NaN or greater than zero; ``ValueError`` otherwise."""
    array = np.asarray(value, dtype=np.float64)
    outside = array <= 0.0
    if outside.any():
        raise ValueError(f"{name} is {array[outside].flat[0]:g}, accepted range above 0")
    return array
