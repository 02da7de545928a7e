"""Water budgets: what an ordinance or a programme would allow a landscape, and what it is expected to use.

Depths are millimetres, areas square metres, water litres; 1 mm on 1 m2 is 1 L. The texts round the same
identity, 0.623377 gal from 1 in on 1 ft2, to 0.62 (California) and 0.6233 (EPA).
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

OVERHEAD_EFFICIENCY: Final = 0.75  # 23 CCR 492.4 (2015)
DRIP_EFFICIENCY: Final = 0.81
ANNUAL_RAIN_SHARE: Final = 0.25  # 23 CCR 492.4: effective rain may be taken as this share of a year's rain
PEAK_RAIN_SHARE: Final = 0.25  # EPA WaterSense Water Budget Approach, from memory
PEAK_ALLOWANCE: Final = 0.70  # EPA WaterSense Water Budget Approach


def allowed_water(
    et_mm: ArrayLike,
    *,
    area_m2: ArrayLike,
    factor: ArrayLike,
    special_m2: ArrayLike = 0.0,
    effective_rain_mm: ArrayLike = 0.0,
) -> Floats:
    """Return the largest amount of applied water: ``(ET - Eppt) [ETAF LA + (1 - ETAF) SLA]``.

    Parameters
    ----------
    et_mm : array_like
        Reference ET of a year or another stretch, 0 or more. [mm]
    area_m2 : array_like
        Landscape area LA, with the special landscape areas in it, 0 or more. [m2]
    factor : array_like
        ET adjustment factor ETAF: 0.55 homes, 0.45 others, 0.8 existing large sites, 0 to 1. [-]
    special_m2 : array_like
        Special landscape areas SLA, which count in full: food, playing fields, reclaimed water. [m2]
    effective_rain_mm : array_like
        Effective rain to take off where the ordinance takes it off; beyond ET it counts as ET. [mm]

    Returns
    -------
    ndarray
        Water. [L]

    Raises
    ------
    ValueError
        If the special areas exceed the whole, the factor lies outside 0 to 1, or something is negative.

    References
    ----------
    .. [1] California Code of Regulations, title 23, section 492.4 (Model Water Efficient Landscape
       Ordinance, 2015 text): maximum applied water allowance.
    """
    et, area, etaf, special, rain = (
        np.asarray(value, dtype=np.float64)
        for value in (et_mm, area_m2, factor, special_m2, effective_rain_mm)
    )
    if any((value < 0.0).any() for value in (et, area, etaf, special, rain)) or (etaf > 1.0).any():
        raise ValueError("ET, areas and rain are 0 or more, the factor 0 to 1")
    if (special > area).any():
        raise ValueError("special areas are part of the landscape area and can't exceed it")
    return np.asarray(np.maximum(et - rain, 0.0) * (etaf * area + (1.0 - etaf) * special))


def estimated_use(
    et_mm: ArrayLike,
    *,
    plant_factor: ArrayLike,
    efficiency: ArrayLike,
    area_m2: ArrayLike,
    effective_rain_mm: ArrayLike = 0.0,
) -> Floats:
    """Return the water each hydrozone is expected to take: ``(ET - Eppt) PF / IE x area``.

    A special landscape area has plant factor and efficiency 1.

    Parameters
    ----------
    et_mm : array_like
        Reference ET of a year or another stretch, 0 or more. [mm]
    plant_factor : array_like
        Share of reference ET its plants take, 0 to 1. [-]
    efficiency : array_like
        Irrigation efficiency: 0.75 overhead, 0.81 drip, above 0 to 1. [-]
    area_m2 : array_like
        Area of the hydrozone, 0 or more. [m2]
    effective_rain_mm : array_like
        As in ``allowed_water``. [mm]

    Returns
    -------
    ndarray
        Water by hydrozone. [L]

    Raises
    ------
    ValueError
        If an efficiency isn't above 0 to 1, or something is negative.

    References
    ----------
    .. [1] California Code of Regulations, title 23, section 492.4 and appendix B (2015): estimated total
       water use.
    """
    et, plants, share, area, rain = (
        np.asarray(value, dtype=np.float64)
        for value in (et_mm, plant_factor, efficiency, area_m2, effective_rain_mm)
    )
    if any((value < 0.0).any() for value in (et, plants, area, rain)):
        raise ValueError("ET, plant factors, areas and rain are 0 or more")
    if ((share <= 0.0) | (share > 1.0)).any():
        raise ValueError(f"efficiency is {share.min():g} to {share.max():g}, accepted above 0 to 1")
    return np.asarray(np.maximum(et - rain, 0.0) * plants / share * area)


def peak_allowance(et_mm: ArrayLike, *, area_m2: ArrayLike) -> Floats:
    """Return what the EPA's budget allows in the site's peak watering month, ``0.70 ET A``.

    Parameters
    ----------
    et_mm : array_like
        Reference ET of the peak watering month. [mm]
    area_m2 : array_like
        Landscape area. [m2]

    Returns
    -------
    ndarray
        Water of that month. [L]

    References
    ----------
    .. [1] US EPA, WaterSense Water Budget Approach: 70 % of reference ET; the form from memory.
    """
    return allowed_water(et_mm, area_m2=area_m2, factor=PEAK_ALLOWANCE)


def peak_requirement(
    et_mm: ArrayLike,
    *,
    rain_mm: ArrayLike,
    coefficient: ArrayLike,
    uniformity: ArrayLike,
    area_m2: ArrayLike,
) -> Floats:
    """Return what zones require in the peak watering month, ``(ET KL - Ra) A / DU``; no less than none.

    Parameters
    ----------
    et_mm, rain_mm : array_like
        Reference ET and rain of the peak watering month; a quarter of the rain counts, ``Ra``. [mm]
    coefficient : array_like
        Landscape coefficient of each zone. [-]
    uniformity : array_like
        Low-quarter distribution uniformity of each zone, above 0 to 1. [-]
    area_m2 : array_like
        Area of each zone. [m2]

    Returns
    -------
    ndarray
        Water of that month by zone; the budget is met where their sum is at most ``peak_allowance``. [L]

    Raises
    ------
    ValueError
        If a uniformity isn't above 0 to 1.

    References
    ----------
    .. [1] US EPA, WaterSense Water Budget Approach, from memory.
    """
    du = np.asarray(uniformity, dtype=np.float64)
    if ((du <= 0.0) | (du > 1.0)).any():
        raise ValueError(f"uniformity is {du.min():g} to {du.max():g}, accepted above 0 to 1")
    et, kl, area = (np.asarray(value, dtype=np.float64) for value in (et_mm, coefficient, area_m2))
    counted = PEAK_RAIN_SHARE * np.asarray(rain_mm, dtype=np.float64)
    return np.asarray(np.maximum(et * kl - counted, 0.0) * area / du)
