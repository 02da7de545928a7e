"""What a controller really runs at each percent it can hold: minutes, depths, and the time a program
takes."""

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fleet.numerics.ranges import Floats, above_zero, within
from scheduling.numerics.gross_to_net import LEAST_CYCLE_MIN, Application, net_depth
from scheduling.numerics.units import stretches

HIGHEST_RATIO = 5.0  # no controller goes higher; catches 85 passed for 0.85
_ROUNDING = 1e-9
_RUNS_AT_ONCE = 1_000  # keeps the work in the processor's cache


@dataclass(frozen=True, slots=True)
class Depths:
    """One start of every run at every percent: minutes [min], gross and net depth [mm], each (P, runs)."""

    minutes: Floats
    gross_mm: Floats
    net_mm: Floats


def minutes_at(percents: ArrayLike, minutes_at_100: ArrayLike, minute_step: ArrayLike) -> Floats:
    """Minutes a controller runs at each percent: scaled, then to the nearest step, a half up.

    Parameters
    ----------
    percents : array_like, shape (P,)
        Seasonal adjustment as a ratio, 0 to 5 (0.85 is 85 percent). [-]
    minutes_at_100 : array_like, shape (runs,)
        Minutes programmed, 0 or more. [min]
    minute_step : array_like, broadcastable to (runs,)
        Smallest step of the controller's run times, above 0. [min]

    Returns
    -------
    ndarray, shape (P, runs)
        Minutes. [min]

    Raises
    ------
    ValueError
        If an argument is out of range.
    """
    ratio = within("percents", percents, high=HIGHEST_RATIO)
    step = above_zero("minute_step", minute_step)
    steps_at_100 = within("minutes_at_100", minutes_at_100) / step
    steps = ratio[:, np.newaxis] * steps_at_100
    steps += 0.5 + _ROUNDING  # 0.29 x 50 is a half, whatever the last bit says
    np.floor(steps, out=steps)
    steps *= step
    return steps


def depths_at(
    percents: ArrayLike,
    minutes_at_100: ArrayLike,
    minute_step: ArrayLike,
    *,
    application: Application,
    cycle_min: ArrayLike = np.inf,
    soak_min: ArrayLike = 0.0,
    least_cycle_min: float = LEAST_CYCLE_MIN,
) -> Depths:
    """Minutes, gross and net depth of one start of every run at every percent.

    Parameters
    ----------
    percents, minutes_at_100, minute_step
        As in ``minutes_at``.
    application : Application
        Rates and shares, scalars or (runs,).
    cycle_min, soak_min : array_like, broadcastable to (runs,)
        Longest cycle, above 0 (infinite: no split), and the soak between cycles, 0 or more. [min]
    least_cycle_min : float
        Cycles shorter than this count as no water. [min]

    Returns
    -------
    Depths
        Each (P, runs); NaN where a run's input is NaN.

    Raises
    ------
    ValueError
        If an argument is out of range.
    """
    minutes = minutes_at(percents, minutes_at_100, minute_step)
    gross, net = np.empty_like(minutes), np.empty_like(minutes)
    runs = minutes.shape[1]
    cycle, soak = (np.broadcast_to(np.asarray(value, np.float64), (runs,)) for value in (cycle_min, soak_min))
    wide = _per_run(application, runs=runs)
    for first in range(0, runs, _RUNS_AT_ONCE):
        some = slice(first, first + _RUNS_AT_ONCE)
        chain = net_depth(
            minutes[:, some],
            Application(*(column[some] for column in wide)),
            cycle_min=cycle[some],
            soak_min=soak[some],
            least_cycle_min=least_cycle_min,
        )
        gross[:, some], net[:, some] = chain.gross_mm, chain.net_mm
    return Depths(minutes, gross, net)


def program_minutes(
    minutes: Floats,
    *,
    cycle_min: ArrayLike,
    soak_min: ArrayLike,
    program_of_run: NDArray[np.integer],
    programs: int | None = None,
) -> Floats:
    """Time one start of each program takes, first valve open to last valve shut.

    One zone runs at a time, zones in their order, cycles interleaved round by round: every zone's first
    cycle, then every second cycle of those that have one, and so on. A round begins when its zones can
    follow one another without a gap and none before its soak is over. Where every zone has a full cycle in
    both rounds, a round lasts the larger of the sum of its cycles and the longest ``cycle + soak``; where
    earlier zones have dropped out or run a shorter remainder, the later ones still get their whole soak.

    Parameters
    ----------
    minutes : ndarray, shape (P, runs)
        Minutes of one start, 0 or more; runs sorted by program and, inside one, by their order. [min]
    cycle_min, soak_min : array_like, broadcastable to (runs,)
        Longest cycle, above 0 (infinite: no split), and least soak, 0 or more. [min]
    program_of_run : ndarray of int, shape (runs,)
        Ascending program numbers from 0.
    programs : int, optional
        Number of programs, where some of them may have no runs.

    Returns
    -------
    ndarray, shape (P, programs)
        Minutes; 0 for a program without runs. [min]

    Raises
    ------
    ValueError
        If an argument is out of range or the runs are not sorted by program.
    """
    owner = np.asarray(program_of_run, dtype=np.intp)
    if owner.size and ((np.diff(owner) < 0).any() or owner[0] < 0):
        raise ValueError("program_of_run is not sorted, accepted are ascending numbers from 0")
    runs = owner.size
    count = programs if programs is not None else (int(owner[-1]) + 1 if runs else 0)
    took = np.zeros((len(minutes), count))
    cycle = np.broadcast_to(above_zero("cycle_min", cycle_min), (runs,))
    soak = np.broadcast_to(within("soak_min", soak_min), (runs,))
    present, first = np.unique(owner, return_index=True)
    edges = np.append(first, runs)
    for start, stop in stretches(np.diff(edges), about=_RUNS_AT_ONCE):
        some = slice(edges[start], edges[stop])
        took[:, present[start:stop]] = _rounds(
            within("minutes", minutes[:, some]),
            cycle=cycle[some],
            soak=soak[some],
            first=edges[start:stop] - edges[start],
        )
    return took


def _rounds(minutes: Floats, *, cycle: Floats, soak: Floats, first: NDArray[np.intp]) -> Floats:
    """Add up the rounds of a stretch of programs, whose runs begin at ``first``."""
    unknown = np.isnan(minutes) | np.isnan(cycle) | np.isnan(soak)
    if unknown.any():  # a NaN would run on into the next program through the running sum
        took = _rounds(
            np.where(unknown, 0.0, minutes),
            cycle=np.nan_to_num(cycle, nan=1.0),
            soak=np.nan_to_num(soak),
            first=first,
        )
        took[np.logical_or.reduceat(unknown, first, axis=1)] = np.nan
        return took
    now, left = _next_cycles(minutes, cycle)
    ends = np.cumsum(now, axis=1)  # on through all programs: each one's own zero is taken off below
    zero = (ends - now)[:, first]
    took = np.zeros((len(minutes), first.size))
    while True:
        lasts = np.add.reduceat(now, first, axis=1)
        now, left = _next_cycles(left, cycle)
        active = now > _ROUNDING
        if not active.any():
            return took + lasts
        ends_then = np.cumsum(now, axis=1)
        begins_then = ends_then - now
        zero_then = begins_then[:, first]
        wait = np.where(active, ends + soak - begins_then, -np.inf)
        ready = np.maximum.reduceat(wait, first, axis=1) - zero + zero_then
        took += np.maximum(lasts, ready)
        ends, zero = ends_then, zero_then


def _next_cycles(left: Floats, cycle: Floats) -> tuple[Floats, Floats]:
    now = np.minimum(left, cycle)
    return now, left - now


def _per_run(application: Application, *, runs: int) -> list[Floats]:
    values = (getattr(application, field.name) for field in fields(application))
    return [np.broadcast_to(np.asarray(value, dtype=np.float64), (runs,)) for value in values]
