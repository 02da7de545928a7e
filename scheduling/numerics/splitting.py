"""A watering split into what a controller can hold: steps of minutes, equal cycles, soaks, several starts."""

from dataclasses import dataclass
from math import ceil, floor

from scheduling.numerics.gross_to_net import LEAST_CYCLE_MIN

_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Split:
    """One start of a run: ``minutes`` in ``cycles`` of at most ``cycle`` minutes each. [min]"""

    minutes: float
    cycles: int
    cycle: float


def down_to_step(minutes: float, step: float) -> float:
    """Return minutes down to a step. [min]"""
    return _held(floor(minutes / step + _ROUNDING), step)


def up_to_step(minutes: float, step: float) -> float:
    """Return minutes up to a step. [min]"""
    return _held(ceil(minutes / step - _ROUNDING), step)


def longest_held(longest: float, *, step: float, least: float = LEAST_CYCLE_MIN) -> float:
    """Return the longest cycle a controller can hold without runoff, but never one too short to wet. [min]

    Parameters
    ----------
    longest
        Minutes after which water runs off, above 0, or infinite. [min]
    step
        Smallest step of the controller's run times, above 0. [min]
    least
        Cycles shorter than this wet nothing. [min]
    """
    if longest == float("inf"):
        return longest
    return max(down_to_step(longest, step), up_to_step(least, step))


def split(minutes: float, longest: float, *, step: float, least: float = LEAST_CYCLE_MIN) -> Split:
    """Split a run into the fewest cycles, as equal as the step allows, none too short to wet.

    Parameters
    ----------
    minutes
        Minutes wanted, above 0; rounded up to the step, at least ``least``. [min]
    longest
        As in ``longest_held``. [min]
    step, least
        As in ``longest_held``. [min]

    Returns
    -------
    Split
        Its minutes may be more than asked for by less than a step a cycle, where the last cycle would
        otherwise be too short to wet.

    Raises
    ------
    ValueError
        If an argument is out of range.
    """
    for name, value in (("minutes", minutes), ("longest", longest), ("step", step)):
        if not value > 0:
            raise ValueError(f"{name} holds {value}, accepted range above 0")
    total = up_to_step(max(minutes, least), step)
    cycles = _cycles(total, longest_held(longest, step=step, least=least))
    cycle = up_to_step(max(total / cycles, least), step)
    cycles = _cycles(total, cycle)
    if total - (cycles - 1) * cycle < least - _ROUNDING:
        total = _held(round(cycles * cycle / step), step)
    return Split(total, cycles, cycle)


def starts_needed(
    minutes: float, longest: float, *, step: float, most: int, least: float = LEAST_CYCLE_MIN
) -> int:
    """Return how many starts a run without cycles needs so that none of them runs off, at most ``most``.

    More starts than leave ``least`` minutes to each are of no use and not returned.
    """
    held = longest_held(longest, step=step, least=least)
    for starts in range(1, most + 1):
        one = up_to_step(max(minutes / starts, least), step)
        if one <= held + _ROUNDING:
            return starts
    return most


def _cycles(minutes: float, longest: float) -> int:
    return max(1, ceil(minutes / longest - _ROUNDING))


def _held(steps: float, step: float) -> float:
    return round(steps * step, 6)
