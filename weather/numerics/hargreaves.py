"""Reference ET where only temperatures are known."""

import numpy as np
from numpy.typing import ArrayLike

from . import equations, ranges
from .ranges import FloatArray, checked


def hargreaves_samani_et(
    *,
    t_min_c: ArrayLike,
    t_max_c: ArrayLike,
    extraterrestrial_mj_m2: ArrayLike,
    t_mean_c: ArrayLike | None = None,
) -> FloatArray:
    """Reference ET from the day's temperatures and the sun above the atmosphere.

    Best over five days or more: a single day may be far off.

    Parameters
    ----------
    t_min_c, t_max_c : array_like
        The day's lowest and highest air temperature, -90 to 70. [degC]
    extraterrestrial_mj_m2 : array_like
        Radiation above the atmosphere, 0 to 100. [MJ/m2/d]
    t_mean_c : array_like, optional
        Mean air temperature; the middle of the two where it is not given. [degC]

    Returns
    -------
    ndarray
        Reference ET, at least 0. [mm/d]

    Raises
    ------
    ValueError
        If an argument lies outside its range, or a minimum temperature above its maximum.

    References
    ----------
    Allen, Pereira, Raes, Smith (1998), FAO Irrigation and Drainage Paper 56, chapter 3, eq. 52.
    """
    low, high = ranges.day_extremes(t_min_c, t_max_c)
    mean = 0.5 * (low + high) if t_mean_c is None else checked("t_mean_c", t_mean_c, ranges.TEMPERATURE_C)
    above = checked("extraterrestrial_mj_m2", extraterrestrial_mj_m2, ranges.RADIATION_MJ_M2)
    return np.maximum(equations.hargreaves_samani(mean, high - low, above), 0.0)
