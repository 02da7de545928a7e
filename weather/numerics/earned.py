"""How far to believe a source's rain: of what it foretold, what came."""

import numpy as np
from numpy.typing import ArrayLike

from weather.numerics.ranges import FloatArray

FEWEST_DAYS = 5
WITHOUT_RECORD = 0.7
LIMITS = (0.3, 1.0)


def earned_share(came_mm: ArrayLike, foretold_mm: ArrayLike, *, days: ArrayLike) -> FloatArray:
    """Share of forecast rain to credit.

    Parameters
    ----------
    came_mm : array_like
        Rain that fell on days for which some was foretold, added up, 0 or more. [mm]
    foretold_mm : array_like
        What had been foretold for them, added up, 0 or more. [mm]
    days : array_like of int
        How many such days are known.

    Returns
    -------
    ndarray
        Share, 0.3 to 1; 0.7 where fewer than five days are known. Limits and default are ours. [-]
    """
    said = np.asarray(foretold_mm, dtype=np.float64)
    share = np.clip(np.asarray(came_mm, dtype=np.float64) / np.where(said > 0, said, 1.0), *LIMITS)
    return np.where(np.asarray(days) >= FEWEST_DAYS, share, WITHOUT_RECORD)
