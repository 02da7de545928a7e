"""The seasonal percent of each program (or of a whole controller): the least that does all a percent can
do."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fleet.numerics.ranges import Floats, above_zero, within
from scheduling.numerics.dry_down import Horizon, mean_and_worst
from scheduling.numerics.soil_water import one_day
from scheduling.numerics.units import Bools, Indices, stretches

Ints = NDArray[np.integer]
RUNS_AT_ONCE = 1_000
MARGIN = 0.9  # share of RAW up to which there is no stress; our choice, see DEVELOPERS
TOLERANCE = 0.005  # stress given away for less water; our choice
BEARABLE = (
    0.1  # stress that counts as none: depletion up to RAW in the mean; chosen by replay, see DEVELOPERS
)
SLIGHT = 0.2  # share by which growth may slow on the worst day, the mean being bearable; by replay too
BEARABLE_UNSEEN = 0.05  # the same where nobody sets the percent again for weeks


@dataclass(frozen=True, slots=True)
class Choice:
    """What the search found for each group.

    ``index`` chosen row of the percents, -1 where no unit could be reckoned or nothing was allowed,
    (groups,); ``stress`` J of every percent, allowed or not, NaN where no unit could be reckoned, (P,
    groups) [-]; ``least`` the least J that an allowed percent reaches, NaN at index -1, (groups,) [-];
    ``deciding_unit`` the unit that forbids the next lower allowed percent, or the worst one at the chosen
    percent where that is the lowest allowed; -1 at index -1, (groups,); ``left_out`` units that could not
    be reckoned because a value of theirs is NaN, (units,).
    """

    index: Indices
    stress: Floats
    least: Floats
    deciding_unit: Indices
    left_out: Bools


def search(
    *,
    percents: Floats,
    net_mm: Floats,
    kept_net_mm: Floats,
    starts: Ints,
    unit_of_run: Ints,
    group_of_unit: Ints,
    first_day: Ints,
    last_day: Ints,
    fixed_mm: Floats,
    start_depletion_mm: Floats,
    et_mm: Floats,
    rain_mm: Floats,
    taw_mm: Floats,
    raw_mm: Floats,
    allowed: Bools,
    margin: float = MARGIN,
    tolerance: float = TOLERANCE,
    bearable: ArrayLike = 0.0,
    runs_at_once: int = RUNS_AT_ONCE,
) -> Choice:
    """Choose for each group the smallest percent whose stress is bearable, or close to the least reachable.

    ``J(q) = max over units of mean over days of max(0, D - m RAW) / RAW``, over the group's days first to
    last, D at the end of each day. Not the smallest percent without stress: where the days are too few for
    the soil there is none, and such a search would run to the maximum and drain most of it.

    Parameters
    ----------
    percents : ndarray, shape (P,)
        Candidates as ratios, strictly ascending. [-]
    net_mm : ndarray, shape (P, runs)
        Net depth of one start at each candidate, 0 or more. [mm]
    kept_net_mm : ndarray, shape (runs,)
        Net depth of one start at the percent now in force. [mm]
    starts : ndarray, shape (H, runs)
        Starts credited to each day of the horizon. Day 0 is the decision day: its water fell in the night
        before.
    unit_of_run : ndarray of int, shape (runs,)
        Unit of each run, in any order; a unit may have several runs or none.
    group_of_unit : ndarray of int, shape (units,)
        Group of each unit, ascending.
    first_day, last_day : ndarray of int, shape (groups,)
        Days of the horizon the decision is judged on, 1 <= first <= last < H. A candidate's water is
        credited from the first on; before it the kept depth is.
    fixed_mm : ndarray, shape (H, units)
        Water from elsewhere that the decision doesn't change, 0 or more. [mm]
    start_depletion_mm : ndarray, shape (units,)
        Depletion at the start of day 0, 0 or more; above TAW counts as TAW. [mm]
    et_mm, rain_mm : ndarray, shape (H, units)
        Landscape ET and credited rain, 0 or more. [mm]
    taw_mm, raw_mm : ndarray, shape (units,)
        Total and readily available water, 0 < RAW <= TAW. [mm]
    allowed : ndarray of bool, shape (P, groups)
        Candidates a group may take (the night is long enough, the client's limits ...).
    margin : float
        Share m of RAW up to which there is no stress, 0 to 1. [-]
    tolerance : float
        Stress above the least that is given away for less water, 0 or more. [-]
    bearable : array_like, broadcastable to (groups,)
        Stress up to which any percent will do, 0 or more: the depletion may pass m RAW by so much of RAW in
        the mean, if growth on the worst day slows by no more than ``SLIGHT``. [-]
    runs_at_once : int
        Size of a block; changes the speed, not the result.

    Returns
    -------
    Choice

    Raises
    ------
    ValueError
        If an argument is out of range or shapes don't agree.

    References
    ----------
    .. [1] FAO Irrigation and Drainage Paper 56 (1998), chapter 8, eqs. 84 to 88, for the balance; the rule
       is ours.
    """
    horizon = Horizon(
        net_mm=within("net_mm", net_mm),
        kept_net_mm=within("kept_net_mm", kept_net_mm),
        starts=np.asarray(starts),
        unit_of_run=np.asarray(unit_of_run, dtype=np.intp),
        given_mm=within("fixed_mm", fixed_mm) + within("rain_mm", rain_mm),
        et_mm=within("et_mm", et_mm),
        start_depletion_mm=within("start_depletion_mm", start_depletion_mm),
        taw_mm=within("taw_mm", taw_mm),
        raw_mm=above_zero("raw_mm", raw_mm),
    )
    horizon.check()
    first, last = np.asarray(first_day, dtype=np.intp), np.asarray(last_day, dtype=np.intp)
    owner, may = np.asarray(group_of_unit, dtype=np.intp), np.asarray(allowed, dtype=bool)
    _check_days(first, last, horizon=len(horizon.et_mm))
    _check_groups(owner, units=horizon.taw_mm.size, groups=first.size)
    _check_candidates(percents, may, shape=(len(horizon.net_mm), first.size))
    within("tolerance", tolerance)
    bearable_of = np.broadcast_to(within("bearable", bearable), first.shape)
    complete = horizon.complete()
    choice = _nothing_chosen(may.shape, left_out=~complete)
    units_at_once = max(1, runs_at_once * complete.size // max(horizon.kept_net_mm.size, 1))
    for some in _stretches(np.flatnonzero(complete), owner, about=units_at_once):
        stress, worst_day = mean_and_worst(
            horizon.of(some.units),
            first=first[some.groups][some.each],
            last=last[some.groups][some.each],
            margin=float(within("margin", margin, high=1.0)),
        )
        _choose(
            choice,
            stress,
            worst_day,
            some,
            may=may[:, some.groups],
            tolerance=tolerance,
            bearable=bearable_of[some.groups],
        )
    return choice


def trace(
    *,
    net_mm: Floats,
    start_depletion_mm: Floats,
    et_mm: Floats,
    rain_mm: Floats,
    taw_mm: Floats,
    raw_mm: Floats,
) -> Floats:
    """Depletion of a few units day by day under a given watering, for charts.

    Parameters
    ----------
    net_mm, et_mm, rain_mm : ndarray, shape (H, units)
        Net irrigation, landscape ET and credited rain of each day, 0 or more. [mm]
    start_depletion_mm, taw_mm, raw_mm : ndarray, shape (units,)
        Depletion at the start of day 0, total and readily available water. [mm]

    Returns
    -------
    ndarray, shape (H, units)
        Depletion at the end of each day; NaN where an input is NaN. [mm]

    References
    ----------
    .. [1] FAO Irrigation and Drainage Paper 56 (1998), chapter 8, eqs. 84 to 88.
    """
    depletion = np.minimum(start_depletion_mm, taw_mm)
    ends = np.empty(np.shape(net_mm))
    for day, net in enumerate(net_mm):
        depletion = one_day(
            depletion, irrigation_mm=net, rain_mm=rain_mm[day], et_mm=et_mm[day], taw_mm=taw_mm, raw_mm=raw_mm
        ).depletion_mm
        ends[day] = depletion
    return ends


@dataclass(frozen=True, slots=True)
class _Stretch:
    """Some consecutive groups: their units, and for each unit the place of its group among them."""

    units: Indices
    groups: Indices
    each: Indices


def _stretches(units: Indices, group_of_unit: Indices, *, about: int) -> Iterator[_Stretch]:
    """Cut the units that can be reckoned into stretches of whole groups; groups without units are in none."""
    groups, sizes = np.unique(group_of_unit[units], return_counts=True)
    edges = np.append(0, np.cumsum(sizes))
    for start, stop in stretches(sizes, about=about):
        yield _Stretch(
            units=units[edges[start] : edges[stop]],
            groups=groups[start:stop],
            each=np.repeat(np.arange(stop - start), sizes[start:stop]),
        )


def _nothing_chosen(shape: tuple[int, ...], *, left_out: Bools) -> Choice:
    return Choice(
        index=np.full(shape[1], -1, dtype=np.intp),
        stress=np.full(shape, np.nan),
        least=np.full(shape[1], np.nan),
        deciding_unit=np.full(shape[1], -1, dtype=np.intp),
        left_out=left_out,
    )


def _choose(
    choice: Choice,
    stress: Floats,
    worst_day: Floats,
    some: _Stretch,
    *,
    may: Bools,
    tolerance: float,
    bearable: Floats,
) -> None:
    """Fill in the choice of a stretch from the stress of its units and their worst day, (P, units)."""
    first = np.flatnonzero(np.diff(some.each, prepend=-1))
    worst = np.maximum.reduceat(stress, first, axis=1)
    least = np.where(may, worst, np.inf).min(axis=0)
    lives = (worst <= bearable) & (np.maximum.reduceat(worst_day, first, axis=1) <= SLIGHT)
    index = np.argmax(may & (lives | (worst <= least + tolerance)), axis=0)
    found = may.any(axis=0)
    deciding = _deciding_unit(stress, some, first=first, probe=_next_lower(index, may))
    choice.stress[:, some.groups] = worst
    choice.index[some.groups] = np.where(found, index, -1)
    choice.least[some.groups] = np.where(found, least, np.nan)
    choice.deciding_unit[some.groups] = np.where(found, deciding, -1)


def _next_lower(index: Indices, may: Bools) -> Indices:
    """Return the next lower allowed row, or the same one where there is none."""
    rows = np.arange(len(may))[:, np.newaxis]
    below = np.where(may & (rows < index), rows, -1).max(axis=0)
    return np.where(below < 0, index, below)


def _deciding_unit(stress: Floats, some: _Stretch, *, first: Indices, probe: Indices) -> Indices:
    """Return each group's worst unit at row ``probe``; of equals, the first."""
    at_probe = stress[probe[some.each], np.arange(some.units.size)]
    is_worst = at_probe == np.maximum.reduceat(at_probe, first)[some.each]
    return np.minimum.reduceat(np.where(is_worst, some.units, some.units[-1] + 1), first)


def _check_days(first: Indices, last: Indices, *, horizon: int) -> None:
    if first.shape != last.shape:
        raise ValueError(f"last_day has shape {last.shape}, accepted {first.shape}")
    wrong = np.flatnonzero((first < 1) | (last < first) | (last >= horizon))
    if wrong.size:
        pair = f"{first[wrong[0]]}, {last[wrong[0]]}"
        raise ValueError(f"first_day, last_day are {pair}, accepted 1 <= first <= last < {horizon}")


def _check_groups(group_of_unit: Indices, *, units: int, groups: int) -> None:
    if group_of_unit.shape != (units,):
        raise ValueError(f"group_of_unit has shape {group_of_unit.shape}, accepted {(units,)}")
    if (np.diff(group_of_unit) < 0).any():
        raise ValueError("group_of_unit is not sorted, accepted are ascending numbers")
    if units and (group_of_unit[0] < 0 or group_of_unit[-1] >= groups):
        raise ValueError(f"group_of_unit holds {group_of_unit[-1]}, accepted range 0 to {groups - 1}")


def _check_candidates(percents: Floats, allowed: Bools, *, shape: tuple[int, int]) -> None:
    if np.shape(percents) != shape[:1]:
        raise ValueError(f"percents has shape {np.shape(percents)}, accepted {shape[:1]}")
    if allowed.shape != shape:
        raise ValueError(f"allowed has shape {allowed.shape}, accepted {shape}")
    if not (np.diff(percents) > 0).all():
        raise ValueError("percents are not sorted, accepted are strictly ascending ones")
