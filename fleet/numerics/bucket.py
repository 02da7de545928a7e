"""Flow by a bucket and a watch."""

import numpy as np
from numpy.typing import ArrayLike

from fleet.numerics.ranges import Floats, above_zero, within

SECONDS_PER_MINUTE = 60.0


def flow_from_bucket(volume_l: ArrayLike, seconds: ArrayLike) -> Floats:
    """Flow of a tap that fills a vessel.

    Parameters
    ----------
    volume_l : array_like
        What the vessel holds up to the mark, 0 or more. [L]
    seconds : array_like, broadcastable
        How long it takes to fill, above 0. [s]

    Returns
    -------
    ndarray
        Flow. [L/min]

    Raises
    ------
    ValueError
        If a volume is negative or a time is not positive.

    References
    ----------
    .. [1] Volume over time; extension leaflets on measuring a tap write gpm = 60 x gallons / seconds.
    """
    volume = within("volume_l", volume_l)
    return np.asarray(volume * SECONDS_PER_MINUTE / above_zero("seconds", seconds))
