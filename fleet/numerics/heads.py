"""Heads and emitters: how fast they water, how evenly, and what share of it reaches the ground."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from fleet.numerics.ranges import Floats
from fleet.numerics.soils import MM_PER_INCH
from fleet.numerics.sourced import Sourced, Standing

# Share of a chart or flow rate that reaches the ground overhead, at night. An assumption: a University of
# Maryland course text gives losses in the air of up to 20 % on hot dry days.
OVERHEAD_GROUND_SHARE = 0.95

_RATES = "typical rates in scheduling handbooks"
_EVENNESS = "Irrigation Association uniformity scale, 'good'"


@dataclass(frozen=True, slots=True)
class Head:
    """One kind of head.

    ``rate_mm_h`` precipitation rate where nobody has measured [mm/h]; ``uniformity`` low-quarter distribution
    uniformity, or emission uniformity for drip, of a system in good order [-]; ``overhead`` whether water
    flies through the air.
    """

    name: str
    rate_mm_h: Sourced[float]
    uniformity: Sourced[float]
    overhead: bool


def _head(
    name: str,
    rate_in_h: float,
    uniformity: float,
    *,
    span: str,
    overhead: bool,
    scale: str = _EVENNESS,
    standing: Standing = "from memory",
) -> Head:
    rate = Sourced(round(rate_in_h * MM_PER_INCH, 2), f"{_RATES}, {span} in/h", "from memory")
    return Head(name, rate, Sourced(uniformity, scale, standing), overhead)


HEADS: dict[str, Head] = {
    "spray": _head("Spray", 1.6, 0.65, span="1.3 to 2.0", overhead=True),
    "rotor": _head("Rotor", 0.5, 0.70, span="0.25 to 0.80", overhead=True),
    "impact": _head("Impact", 0.5, 0.70, span="0.3 to 0.7", overhead=True),
    "rotary_nozzle": _head("Rotary nozzle", 0.5, 0.70, span="0.4 to 0.6", overhead=True),
    "micro_spray": _head("Micro-spray", 0.65, 0.70, span="0.3 to 1.0", overhead=True),
    "bubbler": _head(
        "Bubbler",
        3.0,
        0.70,
        span="1 to 5 over its basin; measure the flow",
        overhead=False,
        scale="no table value; taken as micro-spray",
        standing="assumed",
    ),
    "drip": _head("Drip", 0.6, 0.80, span="0.2 to 1.0", overhead=False),
}


def ground_share(heads: Sequence[str], *, caught_in_cans: ArrayLike) -> Floats:
    """Share of the applied water that reaches the ground.

    Parameters
    ----------
    heads : sequence of str, length n_zones
        Keys of ``HEADS``.
    caught_in_cans : array_like of bool, broadcastable to (n_zones,)
        Whether the zone's rate was caught in cans on the ground: such a rate is net of losses in the air.

    Returns
    -------
    ndarray, shape (n_zones,)
        1 for a rate caught in cans and for heads that do not throw through the air, else 0.95. [-]

    Raises
    ------
    ValueError
        If a key is unknown.
    """
    unknown = [key for key in heads if key not in HEADS]
    if unknown:
        raise ValueError(f"heads holds {unknown[0]!r}, accepted are {', '.join(HEADS)}")
    overhead = np.array([HEADS[key].overhead for key in heads], dtype=bool)
    loses = overhead & ~np.asarray(caught_in_cans, dtype=bool)
    return np.where(loses, OVERHEAD_GROUND_SHARE, 1.0)
