"""The base schedule of a zone: how often, how deep, how long, in how many cycles."""

import numpy as np
from numpy.typing import ArrayLike

from fleet.numerics.ranges import Floats, above_zero, within

MINUTES_PER_HOUR = 60.0
_ROUNDING = 1e-9  # 0.6 / 0.2 is three days, whatever the last bit says


def interval_days(raw_mm: ArrayLike, et_mm_day: ArrayLike) -> Floats:
    """Days from one watering to the next: how long the readily available water lasts, rounded down.

    Parameters
    ----------
    raw_mm : array_like
        Readily available water, 0 or more. [mm]
    et_mm_day : array_like
        Landscape ET, above 0. [mm/d]

    Returns
    -------
    ndarray
        Whole days, at least 1. [d]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] Irrigation Association (2005), Landscape Irrigation Scheduling and Water Management (from memory).
    """
    days = np.floor(within("raw_mm", raw_mm) / above_zero("et_mm_day", et_mm_day) + _ROUNDING)
    return np.maximum(days, 1.0)


def depth_per_watering(
    interval: ArrayLike, et_mm_day: ArrayLike, *, raw_mm: ArrayLike, margin: float = 0.9
) -> Floats:
    """Net depth of one watering, ``min(interval x ETl, m RAW)``.

    Parameters
    ----------
    interval : array_like
        Longest gap between two waterings, 1 or more. [d]
    et_mm_day : array_like
        Landscape ET, 0 or more. [mm/d]
    raw_mm : array_like
        Readily available water, 0 or more. [mm]
    margin : float
        Share m of it that is really used, 0 to 1. [-]

    Returns
    -------
    ndarray
        Depth. [mm]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] Irrigation Association (2005): depth of the interval, never above readily available water.
    """
    need = within("interval", interval, low=1.0) * within("et_mm_day", et_mm_day)
    room = within("margin", margin, high=1.0) * within("raw_mm", raw_mm)
    return np.minimum(need, room)


def gross_for_net(net_mm: ArrayLike, efficiency: ArrayLike) -> Floats:
    """Total water to apply for a net depth, ``TWA = ETL / IE``.

    Parameters
    ----------
    net_mm : array_like
        Net depth, 0 or more. [mm]
    efficiency : array_like
        Share E of the gross water the planting can use, above 0. [-]

    Returns
    -------
    ndarray
        Gross depth. [mm]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] UC Cooperative Extension and California DWR (2000), A Guide to Estimating Irrigation Water Needs of
       Landscape Plantings in California, chapter 5.
    """
    return np.asarray(
        within("net_mm", net_mm) / above_zero("efficiency", within("efficiency", efficiency, high=1.0))
    )


def minutes_for_depth(net_mm: ArrayLike, rate_mm_h: ArrayLike, *, efficiency: ArrayLike = 1.0) -> Floats:
    """Minutes that give a net depth, ``t = 60 d / (PR E)``.

    With E = 1 this is the lower boundary of the run time, with ``E = 1 / RTM`` the upper one.

    Parameters
    ----------
    net_mm : array_like
        Net depth, 0 or more. [mm]
    rate_mm_h : array_like
        Precipitation rate, above 0. [mm/h]
    efficiency : array_like
        Share E of the gross water the planting can use, above 0, to 1. [-]

    Returns
    -------
    ndarray
        Minutes, not rounded. [min]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] Irrigation Association (2005), lower and upper boundary of the run time (from memory).
    """
    gross = gross_for_net(net_mm, efficiency)
    return np.asarray(MINUTES_PER_HOUR * gross / above_zero("rate_mm_h", rate_mm_h))


def cycles_needed(minutes: ArrayLike, longest_min: ArrayLike) -> Floats:
    """Cycles a run is split into, rounded up; 0 for no minutes, 1 where the longest cycle is infinite.

    Parameters
    ----------
    minutes : array_like
        Minutes of the run, 0 or more. [min]
    longest_min : array_like
        Longest cycle, above 0. [min]

    Returns
    -------
    ndarray
        Whole cycles. [-]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] Irrigation Association (2005), cycle and soak (from memory).
    """
    time = within("minutes", minutes)
    whole = np.ceil(time / above_zero("longest_min", longest_min) - _ROUNDING)
    return np.where(time > 0.0, np.maximum(whole, 1.0), time)
