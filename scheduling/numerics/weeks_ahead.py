"""Some weeks of one weather: how dry a planting gets under a watering that repeats, and what is lost."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fleet.numerics.ranges import Floats, above_zero, within
from scheduling.numerics.soil_water import one_day


@dataclass(frozen=True, slots=True)
class Weeks:
    """What the days that count brought each zone.

    ``worst_mm`` largest depletion [mm]; ``over_limit_mm`` by how much it passes RAW, 0 or more [mm];
    ``mean_over_share`` the mean of what passes it, day by day, as a share of RAW [-]; ``drained_mm`` water
    that ran through below the roots, a day [mm/d]; ``met`` share of full ET [-].
    """

    worst_mm: Floats
    over_limit_mm: Floats
    mean_over_share: Floats
    drained_mm: Floats
    met: Floats


def weeks_of(
    net_mm: ArrayLike,
    waters: NDArray[np.bool_],
    *,
    et_mm: ArrayLike,
    taw_mm: ArrayLike,
    raw_mm: ArrayLike,
    counted: int = 28,
) -> Weeks:
    """Run a watering that repeats through days without rain, from full, and judge the last of them.

    Parameters
    ----------
    net_mm : array_like, shape (zones,)
        Net depth of one watering, 0 or more. [mm]
    waters : ndarray of bool, shape (days, zones)
        Days each zone is watered.
    et_mm : array_like, shape (zones,)
        Landscape ET of every day, 0 or more. [mm/d]
    taw_mm, raw_mm : array_like, shape (zones,)
        Total and readily available water, 0 < RAW <= TAW. [mm]
    counted : int
        Days at the end that count; those before let the soil find its level. 1 to all of them.

    Returns
    -------
    Weeks

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] FAO Irrigation and Drainage Paper 56 (1998), chapter 8, eqs. 84 to 88, for the balance.
    """
    net, et = within("net_mm", net_mm), within("et_mm", et_mm)
    raw, taw = above_zero("raw_mm", raw_mm), above_zero("taw_mm", taw_mm)
    if not 1 <= counted <= len(waters):
        raise ValueError(f"counted holds {counted}, accepted range 1 to {len(waters)}")
    depletion = np.zeros_like(et)
    worst, over, drained, used = (np.zeros_like(et) for _ in range(4))
    for day, now in enumerate(waters):
        done = one_day(
            depletion, irrigation_mm=np.where(now, net, 0.0), rain_mm=0.0, et_mm=et, taw_mm=taw, raw_mm=raw
        )
        depletion = done.depletion_mm
        if day >= len(waters) - counted:
            worst = np.maximum(worst, depletion)
            over += np.maximum(depletion - raw, 0.0)
            drained += done.drained_irrigation_mm
            used += done.et_mm
    with np.errstate(invalid="ignore", divide="ignore"):
        met = np.where(et > 0, used / (counted * et), 1.0)
    return Weeks(worst, np.maximum(worst - raw, 0.0), over / counted / raw, drained / counted, met)
