"""A catch-can audit: how fast a zone waters and how evenly, from the water caught in cans on the ground."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from fleet.numerics.ranges import Floats, above_zero, within

LEAST_CANS = 24  # Irrigation Association, Recommended Audit Guidelines (2009)
MM_H_PER_ML_MIN_CM2 = 600.0  # 1 mL on 1 cm2 is 10 mm; 60 minutes an hour


@dataclass(frozen=True, slots=True)
class Audit:
    """What the cans say.

    ``rate_mm_h`` net precipitation rate [mm/h]; ``low_quarter`` and ``low_half`` distribution uniformity and
    ``christiansen`` uniformity coefficient, each a ratio, at most 1 [-]; ``cans`` how many.
    """

    rate_mm_h: float
    low_quarter: float
    low_half: float
    christiansen: float
    cans: int

    @property
    def enough(self) -> bool:
        """Tell whether there were at least as many cans as the guidelines ask for."""
        return self.cans >= LEAST_CANS


def audited(volumes_ml: Sequence[float], *, minutes: float, throat_cm2: float) -> Audit:
    """Return what an audit found.

    Parameters
    ----------
    volumes_ml
        Water caught in each can, 0 or more, at least four cans and not all empty. [mL]
    minutes
        How long the zone ran, above 0. [min]
    throat_cm2
        Opening of one can, above 0. [cm2]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] Irrigation Association, Landscape Irrigation Auditor worksheets, and University of Maryland course
       text: ``PR = 3.66 V / (t A)`` in/h, which is ``600 V / (t A)`` in mm/h with cm2.
    """
    caught = _caught(volumes_ml)
    rate = (
        MM_H_PER_ML_MIN_CM2
        * caught.mean()
        / (above_zero("minutes", minutes) * above_zero("throat_cm2", throat_cm2))
    )
    return Audit(
        rate_mm_h=float(rate),
        low_quarter=distribution_uniformity(caught, share=0.25),
        low_half=distribution_uniformity(caught, share=0.5),
        christiansen=float(1.0 - np.abs(caught - caught.mean()).sum() / caught.sum()),
        cans=caught.size,
    )


def distribution_uniformity(volumes_ml: ArrayLike, *, share: float) -> float:
    """Return the mean of the driest share of the cans over the mean of all.

    Parameters
    ----------
    volumes_ml : array_like
        Water caught in each can, 0 or more, at least four and not all empty. [mL]
    share : float
        0.25 for the low quarter, 0.5 for the low half; the number of cans is rounded, half to even. [-]

    Returns
    -------
    float
        Ratio, 0 to 1. [-]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] NC State University, R package spreval: low quarter of 15 cans is ``round(15 / 4) = 4`` cans.
    """
    caught = np.sort(_caught(volumes_ml))
    count = round(caught.size * float(within("share", share, high=1.0)))
    return float(caught[: max(count, 1)].mean() / caught.mean())


def _caught(volumes_ml: ArrayLike) -> Floats:
    caught = within("volumes_ml", volumes_ml)
    if caught.ndim != 1 or caught.size < 4:
        raise ValueError(f"volumes_ml holds {caught.size} cans, accepted are 4 and more")
    if np.isnan(caught).any() or not caught.any():
        raise ValueError("volumes_ml holds no water, accepted are cans of which one caught some")
    return caught
