"""Water in pipes: how fast it flows, and how much pressure that costs."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from fleet.numerics.ranges import Floats, above_zero, within

# Above it plastic pipe suffers from surges: 5 ft/s, an industry rule (from memory).
HIGHEST_VELOCITY_M_S = 5 * 0.3048
MM_PER_INCH = 25.4


@dataclass(frozen=True, slots=True)
class Pipe:
    """A pipe as it is sold: its name and inside diameter [mm]."""

    name: str
    inside_mm: float


def _pipes(kind: str, inches: dict[str, float]) -> list[Pipe]:
    return [Pipe(f"{kind} {size} in", round(inside * MM_PER_INCH, 2)) for size, inside in inches.items()]


# Inside diameters from memory of ASTM D1785 (schedule 40) and D2241 (class 200).
PIPES: list[Pipe] = [
    *_pipes(
        "Schedule 40",
        {"1/2": 0.602, "3/4": 0.804, "1": 1.029, "1-1/4": 1.360, "1-1/2": 1.590, "2": 2.047},
    ),
    *_pipes("Class 200", {"3/4": 0.930, "1": 1.189, "1-1/4": 1.502, "1-1/2": 1.720, "2": 2.149}),
]

INSIDE_MM = {pipe.name: pipe.inside_mm for pipe in PIPES}
PIPE_NAMES = [(pipe.name, pipe.name) for pipe in PIPES]


def velocity_m_s(flow_l_min: ArrayLike, inside_mm: ArrayLike) -> Floats:
    """Mean velocity in a full pipe.

    Parameters
    ----------
    flow_l_min : array_like
        Flow, 0 or more. [L/min]
    inside_mm : array_like
        Inside diameter, above 0. [mm]

    Returns
    -------
    ndarray
        Velocity. [m/s]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] Continuity; ``v = 0.4085 Q / d2`` ft/s in customary units, fire-protection reference.
    """
    area_m2 = np.pi / 4.0 * (above_zero("inside_mm", inside_mm) / 1000.0) ** 2
    return np.asarray(within("flow_l_min", flow_l_min) / 60_000.0 / area_m2)


def flow_at_velocity(inside_mm: ArrayLike, *, velocity_m_s: ArrayLike = HIGHEST_VELOCITY_M_S) -> Floats:
    """Flow at which water reaches a velocity.

    Parameters
    ----------
    inside_mm : array_like
        Inside diameter, above 0. [mm]
    velocity_m_s : array_like
        Velocity, 0 or more; 5 ft/s unless given. [m/s]

    Returns
    -------
    ndarray
        Flow. [L/min]

    Raises
    ------
    ValueError
        If an argument is out of range.
    """
    area_m2 = np.pi / 4.0 * (above_zero("inside_mm", inside_mm) / 1000.0) ** 2
    return np.asarray(within("velocity_m_s", velocity_m_s) * area_m2 * 60_000.0)


def friction_kpa(
    flow_l_min: ArrayLike, inside_mm: ArrayLike, length_m: ArrayLike, *, smoothness: ArrayLike = 150.0
) -> Floats:
    """Pressure lost in a pipe.

    Parameters
    ----------
    flow_l_min : array_like
        Flow, 0 or more. [L/min]
    inside_mm : array_like
        Inside diameter, above 0. [mm]
    length_m : array_like
        Length, 0 or more. [m]
    smoothness : array_like
        Hazen-Williams C, above 0; 150 for plastic. [-]

    Returns
    -------
    ndarray
        Pressure. [kPa]

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] Hazen-Williams: ``hf = 10.67 L Q^1.852 / (C^1.852 d^4.87)`` with m and m3/s (from memory);
       ``p = 4.52 Q^1.85 / (C^1.85 d^4.87)`` psi/ft with gpm and in, fire-protection reference.
    """
    flow_m3_s = within("flow_l_min", flow_l_min) / 60_000.0
    diameter_m = above_zero("inside_mm", inside_mm) / 1000.0
    c = above_zero("smoothness", smoothness)
    head_m = 10.67 * within("length_m", length_m) * flow_m3_s**1.852 / (c**1.852 * diameter_m**4.87)
    return np.asarray(head_m * 9.80665)
