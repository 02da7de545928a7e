"""Soils by texture: how fast they take water in, how much may stand on them, how much they hold."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from fleet.numerics.ranges import Floats, within
from fleet.numerics.sourced import Sourced

MM_PER_INCH = 25.4
SLOPE_BAND_TOPS_PERCENT = (3, 6, 12)  # 0-3, 4-6, 7-12, 13 and more

_HANDBOOK = "Irrigation Association (2005), Landscape Irrigation Scheduling and Water Management"
_RANGE = "inside the range by texture group of UC Davis, Drought Management, Soil Characteristics"


@dataclass(frozen=True, slots=True)
class Soil:
    """One texture.

    ``intake_mm_h`` basic intake rate [mm/h]; ``accumulation_mm`` allowable surface accumulation in the
    slope bands 0-3, 4-6, 7-12, 13+ percent [mm]; ``capacity`` available water-holding capacity [mm per mm
    of depth]; ``depletion`` management allowed depletion, a share of it [-].
    """

    name: str
    intake_mm_h: Sourced[float]
    accumulation_mm: tuple[Sourced[float], Sourced[float], Sourced[float], Sourced[float]]
    capacity: Sourced[float]
    depletion: Sourced[float]


def _soil(
    name: str,
    *,
    intake_in_h: float,
    accumulation_in: tuple[float, float, float, float],
    capacity: float,
    depletion: float,
    capacity_note: str = _RANGE,
) -> Soil:
    flat, gentle, steep, steepest = (round(depth * MM_PER_INCH, 4) for depth in accumulation_in)
    return Soil(
        name=name,
        intake_mm_h=Sourced(round(intake_in_h * MM_PER_INCH, 4), _HANDBOOK, "confirmed"),
        accumulation_mm=(
            Sourced(flat, _HANDBOOK, "confirmed"),
            Sourced(gentle, _HANDBOOK, "from memory"),
            Sourced(steep, _HANDBOOK, "from memory"),
            Sourced(steepest, _HANDBOOK, "from memory"),
        ),
        capacity=Sourced(capacity, f"{_HANDBOOK}; {capacity_note}", "from memory"),
        depletion=Sourced(depletion, _HANDBOOK, "from memory"),
    )


# Where two capacities are remembered (sandy loam 0.12 to 0.13, loamy sand 0.08 to 0.09) the lower one is
# taken: it waters a little sooner. Clay's two steep bands are the least sure cells of the table.
SOILS: dict[str, Soil] = {
    "clay": _soil(
        "Clay", intake_in_h=0.10, accumulation_in=(0.20, 0.15, 0.10, 0.10), capacity=0.17, depletion=0.30
    ),
    "silty_clay": _soil(
        "Silty clay",
        intake_in_h=0.15,
        accumulation_in=(0.23, 0.19, 0.16, 0.13),
        capacity=0.17,
        depletion=0.40,
    ),
    "clay_loam": _soil(
        "Clay loam", intake_in_h=0.20, accumulation_in=(0.26, 0.22, 0.18, 0.15), capacity=0.18, depletion=0.40
    ),
    "loam": _soil(
        "Loam", intake_in_h=0.35, accumulation_in=(0.30, 0.25, 0.21, 0.17), capacity=0.17, depletion=0.50
    ),
    "sandy_loam": _soil(
        "Sandy loam",
        intake_in_h=0.40,
        accumulation_in=(0.33, 0.29, 0.24, 0.20),
        capacity=0.12,
        depletion=0.50,
    ),
    "loamy_sand": _soil(
        "Loamy sand",
        intake_in_h=0.50,
        accumulation_in=(0.36, 0.30, 0.26, 0.22),
        capacity=0.08,
        depletion=0.50,
    ),
    "sand": _soil(
        "Sand",
        intake_in_h=0.60,
        accumulation_in=(0.40, 0.35, 0.30, 0.25),
        capacity=0.06,
        depletion=0.60,
        capacity_note="at the top of UC Davis' range for very coarse sand, below the one for fine sand",
    ),
}

_ACCUMULATION_MM = np.array([[band.value for band in soil.accumulation_mm] for soil in SOILS.values()])
_ROW = {key: row for row, key in enumerate(SOILS)}


def allowable_accumulation(soils: Sequence[str], slope_percent: ArrayLike) -> Floats:
    """Water that may stand on the surface before it runs off.

    The table's slope bands leave gaps (what of 3.5 percent?), so a slope is rounded up to a whole percent
    first, which never gives a longer cycle.

    Parameters
    ----------
    soils : sequence of str, length n_zones
        Keys of ``SOILS``.
    slope_percent : array_like, broadcastable to (n_zones,)
        Slope, 0 to 200. [percent]

    Returns
    -------
    ndarray, shape (n_zones,)
        Allowable surface accumulation; NaN where the slope is NaN. [mm]

    Raises
    ------
    ValueError
        If a key is unknown or a slope is out of range.

    References
    ----------
    .. [1] Irrigation Association (2005), table of allowable surface accumulation.
    """
    unknown = [key for key in soils if key not in _ROW]
    if unknown:
        raise ValueError(f"soils holds {unknown[0]!r}, accepted are {', '.join(SOILS)}")
    slope = np.broadcast_to(within("slope_percent", slope_percent, high=200.0), (len(soils),))
    band = np.searchsorted(SLOPE_BAND_TOPS_PERCENT, np.ceil(slope), side="left")
    rows = np.array([_ROW[key] for key in soils], dtype=np.intp)
    depth = _ACCUMULATION_MM[rows, band]
    return np.where(np.isnan(slope), np.nan, depth)
