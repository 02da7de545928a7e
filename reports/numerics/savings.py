"""Water saved against a baseline by zone and day; water kept from thirsty plants is no saving."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scheduling.numerics.soil_water import stress_coefficient

Floats = NDArray[np.float64]


def withheld_et(
    depletion_mm: Floats,
    *,
    start_mm: Floats,
    irrigation_mm: Floats,
    rain_mm: Floats,
    et_mm: Floats,
    taw_mm: Floats,
    raw_mm: Floats,
) -> Floats:
    """Return the ET that plants went without because their soil was too dry, ``L = (1 - Ks) ETl``.

    Parameters
    ----------
    depletion_mm : ndarray, shape (days, zones)
        Depletion at the end of each day. [mm]
    start_mm : ndarray, shape (zones,)
        Depletion before the first day. [mm]
    irrigation_mm, rain_mm, et_mm : ndarray, shape (days, zones)
        Net irrigation, credited rain and landscape ET of each day, 0 or more. [mm]
    taw_mm, raw_mm : ndarray, shape (zones,)
        Total and readily available water, 0 <= RAW <= TAW. [mm]

    Returns
    -------
    ndarray, shape (days, zones)
        ET withheld; 0 where plants had all they needed. [mm]

    References
    ----------
    .. [1] FAO Irrigation and Drainage Paper 56 (1998), chapter 8, eqs. 81 and 84.
    """
    before = np.vstack([np.broadcast_to(start_mm, depletion_mm.shape[1:])[np.newaxis], depletion_mm[:-1]])
    watered = np.maximum(before - irrigation_mm, 0.0)
    rained = np.maximum(watered - rain_mm, 0.0)
    ks = stress_coefficient(rained, taw_mm=taw_mm, raw_mm=raw_mm)
    return np.asarray((1.0 - ks) * et_mm)


@dataclass(frozen=True, slots=True)
class Saved:
    """Litres of each day and zone; ``saved = baseline - applied - withheld``."""

    applied_l: Floats
    baseline_l: Floats
    withheld_l: Floats

    @property
    def saved_l(self) -> Floats:
        """Return the water saved. [L]"""
        return self.baseline_l - self.applied_l - self.withheld_l


def saved_water(
    *,
    area_m2: Floats,
    efficiency: Floats,
    applied_mm: Floats,
    baseline_mm: Floats,
    withheld_applied_mm: Floats,
    withheld_baseline_mm: Floats,
) -> Saved:
    """Return ``area [G_base - G_applied - max(0, L_applied - L_base) / E]`` in its three parts.

    Parameters
    ----------
    area_m2 : ndarray, shape (zones,)
        Watered area. [m2]
    efficiency : ndarray, shape (zones,)
        Share E of the gross depth that plants can use, above 0 to 1. [-]
    applied_mm, baseline_mm : ndarray, shape (days, zones)
        Gross depth put on, and what the baseline would have put on. [mm]
    withheld_applied_mm, withheld_baseline_mm : ndarray, shape (days, zones)
        ET withheld from plants in both. [mm]

    Returns
    -------
    Saved
        Litres, (days, zones).

    Raises
    ------
    ValueError
        If an efficiency is 0 or less, or above 1.
    """
    if ((efficiency <= 0.0) | (efficiency > 1.0)).any():
        raise ValueError(f"efficiency is {efficiency.min():g} to {efficiency.max():g}, accepted above 0 to 1")
    thirst = np.maximum(withheld_applied_mm - withheld_baseline_mm, 0.0) / efficiency
    return Saved(
        applied_l=applied_mm * area_m2, baseline_l=baseline_mm * area_m2, withheld_l=thirst * area_m2
    )
