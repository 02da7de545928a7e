"""Water beyond what plants need, that carries salt below their roots."""

import numpy as np
from numpy.typing import ArrayLike

from fleet.numerics.ranges import Floats, above_zero, within


def leaching_requirement(water_ds_m: ArrayLike, soil_ds_m: ArrayLike) -> Floats:
    """Least share of the applied water that has to pass below the roots to keep the salt where it is.

    Parameters
    ----------
    water_ds_m : array_like
        Electrical conductivity of the water, above 0. [dS/m]
    soil_ds_m : array_like
        Average conductivity of the soil's saturation extract that the plants tolerate, above 0. [dS/m]

    Returns
    -------
    ndarray
        Leaching requirement; 1 and more means that this water can't keep this soil so fresh. [-]

    Raises
    ------
    ValueError
        If an argument isn't above 0, or the water is at least five times as salty as the soil.

    References
    ----------
    .. [1] FAO Irrigation and Drainage Paper 29 (Ayers and Westcot 1985), eq. 9: ``LR = ECw / (5 ECe - ECw)``,
       from memory.
    """
    water, soil = above_zero("water_ds_m", water_ds_m), above_zero("soil_ds_m", soil_ds_m)
    rest = 5.0 * soil - water
    if np.any(rest <= 0):
        raise ValueError("water_ds_m is five times soil_ds_m or more: no leaching keeps the soil so fresh")
    return np.asarray(water / rest)


def extra_share(leaching_share: ArrayLike) -> Floats:
    """Water to put on beyond the need, as a share of the need.

    Parameters
    ----------
    leaching_share : array_like
        Share of the applied water that has to pass below the roots, 0 or more and below 1. [-]

    Returns
    -------
    ndarray
        Extra water for each unit of need. [-]

    Raises
    ------
    ValueError
        If a share isn't in 0 to below 1.

    References
    ----------
    .. [1] FAO Irrigation and Drainage Paper 29, eq. 7: ``AW = ET / (1 - LR)``, from memory.
    """
    share = within("leaching_share", leaching_share, high=1.0)
    if np.any(share >= 1):
        raise ValueError("leaching_share holds 1, accepted are 0 and more, below 1")
    return np.asarray(share / (1.0 - share))
