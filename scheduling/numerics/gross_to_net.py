"""From the water that leaves the heads to the water the roots keep: one chain, used everywhere.

    gross G = air + short + runoff + uneven + net

* air: ``(1 - A) G``, lost between head and ground;
* short: cycles too short to wet anything;
* runoff: what overflows the pond that may stand on the surface;
* uneven: what falls where it is not needed, because no zone waters evenly;
* net ``I = U (A G - RO)``: what arrives in the root zone.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from fleet.numerics.ranges import Floats, above_zero, within

MINUTES_PER_HOUR = 60.0
# Under three minutes a zone barely reaches its pressure: common practice, no source.
LEAST_CYCLE_MIN = 3.0
_ROUNDING_MIN = 1e-9


@dataclass(frozen=True, slots=True)
class Application:
    """How water comes down and goes in, one value a run (or scalars).

    ``rate_mm_h`` precipitation rate, above 0 [mm/h]; ``ground_share`` share A that reaches the ground, 0 to
    1 [-]; ``usable_share`` share U that the planting can use, 0 to 1 [-]; ``intake_mm_h`` basic intake rate
    of the soil, above 0 [mm/h]; ``accumulation_mm`` depth that may stand on the surface, 0 or more [mm].
    """

    rate_mm_h: ArrayLike
    ground_share: ArrayLike
    usable_share: ArrayLike
    intake_mm_h: ArrayLike
    accumulation_mm: ArrayLike


@dataclass(frozen=True, slots=True)
class Chain:
    """Where the gross depth went; all [mm], and ``gross_mm`` is the sum of the other five."""

    gross_mm: Floats
    air_mm: Floats
    short_mm: Floats
    runoff_mm: Floats
    uneven_mm: Floats
    net_mm: Floats


def run_time_multiplier(uniformity: ArrayLike) -> Floats:
    """Run time multiplier: how much longer to water because no zone waters evenly.

    Parameters
    ----------
    uniformity : array_like
        Low-quarter distribution uniformity, or emission uniformity for drip, 0 to 1. [-]

    Returns
    -------
    ndarray
        ``1 / (0.4 + 0.6 DU_LQ)``, 1 to 2.5. [-]

    Raises
    ------
    ValueError
        If a uniformity is out of range.

    References
    ----------
    .. [1] Irrigation Association (2005), Landscape Irrigation Scheduling and Water Management (from memory).
    """
    return np.asarray(1.0 / (0.4 + 0.6 * within("uniformity", uniformity, high=1.0)))


def usable_share(uniformity: ArrayLike, *, boundary: ArrayLike = 1.0) -> Floats:
    """Share of the water on the ground that the planting can use, ``U = 1 / (1 + b (RTM - 1))``.

    Parameters
    ----------
    uniformity : array_like
        Low-quarter distribution uniformity, 0 to 1. [-]
    boundary : array_like
        Where between the lower (0) and the upper (1) run time to water. [-]

    Returns
    -------
    ndarray
        U, 0.4 to 1. [-]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] Irrigation Association (2005), lower and upper boundary of the run time (from memory).
    """
    b = within("boundary", boundary, high=1.0)
    return np.asarray(1.0 / (1.0 + b * (run_time_multiplier(uniformity) - 1.0)))


def longest_cycle_min(
    rate_mm_h: ArrayLike, *, intake_mm_h: ArrayLike, accumulation_mm: ArrayLike, ground_share: ArrayLike = 1.0
) -> Floats:
    """Longest cycle that does not run off, ``60 ASA / (A PR - IR)``.

    Parameters
    ----------
    rate_mm_h : array_like
        Precipitation rate, above 0. [mm/h]
    intake_mm_h : array_like
        Basic intake rate, above 0. [mm/h]
    accumulation_mm : array_like
        Allowable surface accumulation, 0 or more. [mm]
    ground_share : array_like
        Share A that reaches the ground, 0 to 1. [-]

    Returns
    -------
    ndarray
        Minutes; infinite where the soil takes the water as fast as it comes. [min]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] Irrigation Association (2005), maximum run time before runoff.
    """
    fill = _fill_mm_h(rate_mm_h, intake_mm_h=intake_mm_h, ground_share=ground_share)
    depth = within("accumulation_mm", accumulation_mm)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(fill <= 0.0, np.inf, MINUTES_PER_HOUR * depth / fill)


def shortest_soak_min(
    cycle_min: ArrayLike, *, rate_mm_h: ArrayLike, intake_mm_h: ArrayLike, ground_share: ArrayLike = 1.0
) -> Floats:
    """Soak after which the pond of the cycle actually run has gone in, ``cycle (A PR / IR - 1)``.

    Parameters
    ----------
    cycle_min : array_like
        Length of the cycle, 0 or more. [min]
    rate_mm_h, intake_mm_h, ground_share : array_like
        As in ``longest_cycle_min``.

    Returns
    -------
    ndarray
        Minutes; 0 where no pond builds up. [min]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] After a longest cycle it equals ``60 ASA / IR``, Irrigation Association (2005).
    """
    fill = _fill_mm_h(rate_mm_h, intake_mm_h=intake_mm_h, ground_share=ground_share)
    cycle = within("cycle_min", cycle_min)
    return np.asarray(cycle * np.maximum(fill, 0.0) / np.asarray(intake_mm_h, dtype=np.float64))


def net_depth(
    minutes: ArrayLike,
    application: Application,
    *,
    cycle_min: ArrayLike = np.inf,
    soak_min: ArrayLike = 0.0,
    least_cycle_min: float = LEAST_CYCLE_MIN,
) -> Chain:
    """Follow one start of a run from its minutes to the net depth, cycle by cycle.

    The minutes are split into cycles of at most ``cycle_min``, the remainder last. During a cycle the pond
    on the surface fills at ``A PR - IR`` and what overflows the allowable accumulation runs off; during a
    soak it drains at ``IR``. A cycle under ``least_cycle_min`` is gross water but reaches nothing.

    Parameters
    ----------
    minutes : array_like
        Minutes of one start, 0 or more. [min]
    application : Application
        Rates and shares, broadcastable to ``minutes``.
    cycle_min, soak_min : array_like, broadcastable to ``minutes``
        Longest cycle, above 0 (infinite: no split), and the soak between two cycles, 0 or more. [min]
    least_cycle_min : float
        Cycles shorter than this count as no water. [min]

    Returns
    -------
    Chain
        Depths in the shape of ``minutes`` broadcast with the rest; NaN where an input is NaN. [mm]

    Raises
    ------
    ValueError
        If an argument is out of range.
    """
    rate, ground, usable, intake, accumulation = _checked(application)
    longest = above_zero("cycle_min", cycle_min)
    soak = within("soak_min", soak_min)
    everything = (within("minutes", minutes), rate, ground, usable, intake, accumulation, longest, soak)
    left = np.array(np.broadcast_arrays(*everything)[0])
    gross = left * (rate / MINUTES_PER_HOUR)
    wetting, runoff = _run_cycles(
        left,
        longest_min=longest,
        least_min=least_cycle_min - _ROUNDING_MIN,
        fill_mm_min=(ground * rate - intake) / MINUTES_PER_HOUR,
        soaked_mm=intake * soak / MINUTES_PER_HOUR,
        accumulation_mm=accumulation,
    )
    landed = wetting * (rate / MINUTES_PER_HOUR)
    kept = ground * landed - runoff
    return Chain(
        gross_mm=gross,
        air_mm=(1.0 - ground) * landed,
        short_mm=gross - landed,
        runoff_mm=runoff,
        uneven_mm=(1.0 - usable) * kept,
        net_mm=usable * kept,
    )


def _run_cycles(
    left: Floats,
    *,
    longest_min: Floats,
    least_min: float,
    fill_mm_min: Floats,
    soaked_mm: Floats,
    accumulation_mm: Floats,
) -> tuple[Floats, Floats]:
    """Run cycle after cycle until no minutes are left; return minutes that wet and depth that ran off."""
    wetting, pond, runoff = (np.zeros_like(left) for _ in range(3))
    while True:
        cycle = np.minimum(left, longest_min)
        left = left - cycle
        cycle *= ~(cycle < least_min)  # NaN stays NaN
        wetting += cycle
        pond += fill_mm_min * cycle
        np.maximum(pond, 0.0, out=pond)
        over = np.maximum(pond - accumulation_mm, 0.0)
        runoff += over
        pond -= over
        if not (left > _ROUNDING_MIN).any():
            return wetting, runoff
        pond -= soaked_mm
        np.maximum(pond, 0.0, out=pond)


def _checked(application: Application) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    return (
        above_zero("rate_mm_h", application.rate_mm_h),
        within("ground_share", application.ground_share, high=1.0),
        within("usable_share", application.usable_share, high=1.0),
        above_zero("intake_mm_h", application.intake_mm_h),
        within("accumulation_mm", application.accumulation_mm),
    )


def _fill_mm_h(rate_mm_h: ArrayLike, *, intake_mm_h: ArrayLike, ground_share: ArrayLike) -> Floats:
    rate = above_zero("rate_mm_h", rate_mm_h)
    intake = above_zero("intake_mm_h", intake_mm_h)
    return np.asarray(within("ground_share", ground_share, high=1.0) * rate - intake)
