"""The landscape coefficient: what share of reference ET a zone needs, month by month."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from fleet.numerics.plants import PLANTS, monthly_coefficient
from fleet.numerics.ranges import Floats, within


def combined_coefficient(
    species: ArrayLike, *, density: ArrayLike = 1.0, microclimate: ArrayLike = 1.0
) -> Floats:
    """Landscape coefficient ``KL = ks kd kmc`` of a planting.

    Parameters
    ----------
    species : array_like
        Species factor ks, 0 to 1.5. [-]
    density : array_like
        Density factor kd, 0.1 to 1.5; published are 0.5 to 1.3. [-]
    microclimate : array_like
        Microclimate factor kmc, 0.1 to 1.5; published are 0.5 to 1.4. [-]

    Returns
    -------
    ndarray
        KL, by broadcasting. [-]

    Raises
    ------
    ValueError
        If a factor is out of range.

    References
    ----------
    .. [1] UC Cooperative Extension and California DWR (2000), A Guide to Estimating Irrigation Water Needs of
       Landscape Plantings in California, chapters 2 and 3.
    """
    ks = within("species", species, high=1.5)
    kd = within("density", density, low=0.1, high=1.5)
    kmc = within("microclimate", microclimate, low=0.1, high=1.5)
    return np.asarray(ks * kd * kmc)


def landscape_coefficient(
    plants: Sequence[str],
    *,
    microclimate: ArrayLike = 1.0,
    density: ArrayLike = 1.0,
    southern: ArrayLike = False,
) -> Floats:
    """Landscape coefficient of every zone in every month.

    Parameters
    ----------
    plants : sequence of str, length n_zones
        Keys of ``PLANTS``.
    microclimate, density : array_like, broadcastable to (n_zones,)
        Factors kmc and kd, 0.1 to 1.5. [-]
    southern : array_like of bool, broadcastable to (n_zones,)
        True for a site south of the equator: the table's months are shifted by six.

    Returns
    -------
    ndarray, shape (12, n_zones)
        KL, January first. [-]

    Raises
    ------
    ValueError
        If a key is unknown or a factor is out of range.

    References
    ----------
    .. [1] The guide named in ``combined_coefficient``, with the plant types' sources as the species factor.
    """
    unknown = [key for key in plants if key not in PLANTS]
    if unknown:
        raise ValueError(f"plants holds {unknown[0]!r}, accepted are {', '.join(PLANTS)}")
    keys = list(PLANTS)
    table = np.array([[monthly_coefficient(key, southern=side) for key in keys] for side in (False, True)])
    column = {key: number for number, key in enumerate(keys)}
    of_zone = np.array([column[key] for key in plants], dtype=np.intp)
    side_of_zone = np.broadcast_to(np.asarray(southern, dtype=bool), of_zone.shape).astype(np.intp)
    species = table[side_of_zone, of_zone].T
    return combined_coefficient(species, density=density, microclimate=microclimate)
