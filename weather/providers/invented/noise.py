"""Chance that can be looked up: the same numbers for the same seed, day and place, whatever else is asked.

Nothing is drawn in sequence. Every number is a hash of what it belongs to, so a single day of a single cell
comes out the same as within a year of a hundred cells.
"""

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

# The constants of the SplitMix64 generator (Steele, Lea, Flood 2014).
_STEP: Final = np.uint64(0x9E3779B97F4A7C15)
_FIRST: Final = np.uint64(0xBF58476D1CE4E5B9)
_SECOND: Final = np.uint64(0x94D049BB133111EB)


def uniform(*keys: ArrayLike) -> Floats:
    """Return numbers in (0, 1), one for each combination of the whole-numbered keys after broadcasting."""
    state = np.zeros(np.broadcast_shapes(*(np.shape(key) for key in keys)), dtype=np.uint64)
    with np.errstate(over="ignore"):
        for key in keys:
            state = _mixed(state + _STEP + np.asarray(key, dtype=np.int64).astype(np.uint64))
    return ((state >> np.uint64(11)).astype(np.float64) + 0.5) / 2.0**53


def normal(*keys: ArrayLike) -> Floats:
    """Return numbers of mean 0 and deviation 1, one for each combination of the keys."""
    radius = np.sqrt(-2.0 * np.log(uniform(*keys, 1)))
    return radius * np.cos(2.0 * math.pi * uniform(*keys, 2))


def rounded(values: Floats, digits: int, *, within: tuple[float, float] = (-math.inf, math.inf)) -> Floats:
    """Return values as a source would write them: few digits, nothing absurd."""
    return np.asarray(
        np.round(np.minimum(np.maximum(values, within[0]), within[1]), digits), dtype=np.float64
    )


def field(
    key: ArrayLike, *, day: Floats, latitude: Floats, longitude: Floats, period: float, spacing: float
) -> Floats:
    """Return a field of mean 0 and deviation 1, changing within ``period`` days and ``spacing`` degrees.

    ``day`` is ``(days, 1)``, the coordinates are ``(cells,)``; the result is ``(days, cells)``.
    """
    total = np.zeros(np.broadcast_shapes(day.shape, latitude.shape))
    power = np.zeros_like(total)
    for d, share_d in _between(day / period):
        for y, share_y in _between(latitude / spacing):
            for x, share_x in _between(longitude / spacing):
                share = share_d * share_y * share_x
                total = total + share * normal(key, d, y, x)
                power = power + share * share
    return total / np.sqrt(power)


def _between(position: Floats) -> tuple[tuple[Floats, Floats], tuple[Floats, Floats]]:
    """Return the whole numbers below and above, each with its smooth share."""
    below = np.floor(position)
    part = position - below
    share = part * part * (3.0 - 2.0 * part)
    return (below, 1.0 - share), (below + 1.0, share)


def _mixed(state: NDArray[np.uint64]) -> NDArray[np.uint64]:
    state = (state ^ (state >> np.uint64(30))) * _FIRST
    state = (state ^ (state >> np.uint64(27))) * _SECOND
    return state ^ (state >> np.uint64(31))
