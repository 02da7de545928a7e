"""A plan for zones from scratch: programs, days, minutes, as a contractor would enter them in spring."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

import numpy as np
from numpy.typing import NDArray

from fleet.numerics.ranges import Floats
from scheduling.numerics.base_schedule import depth_per_watering, minutes_for_depth
from scheduling.numerics.gross_to_net import LEAST_CYCLE_MIN
from scheduling.numerics.grouping import days_of_water, grouped
from scheduling.numerics.replay.landscape import Ground, Landscape, Runs
from scheduling.selectors.replay.plots import Plots

PERCENTS: Final = np.arange(0, 201) / 100.0
DRAWN: Final = 0.3
FEWEST: Final = 3
# Watering days by how many there are, Monday 0: as far apart as a week allows.
WEEKDAYS: Final = {
    7: (0, 1, 2, 3, 4, 5, 6),
    6: (0, 1, 2, 3, 4, 5),
    5: (0, 1, 3, 4, 5),
    4: (0, 2, 4, 6),
    3: (0, 2, 4),
    2: (0, 3),
    1: (0,),
}


@dataclass(frozen=True)
class Plan:
    """Zones in programs, and on how many days a week each program waters."""

    landscape: Landscape
    days: list[int]


def planned(
    plots: Plots,
    *,
    month_et_mm: Floats,
    months: NDArray[np.integer],
    wetness: float,
    programs: int,
    days_per_week: int,
) -> Plan:
    """Plan zones for the peak of a season.

    Parameters
    ----------
    plots : Plots
        The zones.
    month_et_mm : ndarray, shape (12,)
        Usual reference ET of a day of each month, January first. [mm]
    months : ndarray of int
        Months of the season, 1 to 12.
    wetness : float
        Credited rain by reference ET, see ``Climate.rain_by_et``. [-]
    programs : int
        Programs the controller holds, 1 or more.
    days_per_week : int
        Days with water, 1 to 7.
    """
    zones = len(plots.names)
    usual = month_et_mm[months - 1, np.newaxis] * plots.kl[months - 1]
    peak = usual.max(axis=0)
    group = _groups(plots, usual, peak, wetness=wetness, programs=programs)
    days = days_of_programs(group, peak, raw_mm=plots.raw_mm, most=days_per_week)
    gap = np.array([longest_gap(days[g]) for g in group], dtype=np.float64)
    depth = depth_per_watering(gap, peak, raw_mm=plots.raw_mm)
    exact = minutes_for_depth(depth, plots.application.rate_mm_h, efficiency=plots.efficiency)
    minutes = np.maximum(np.ceil(exact - 1e-9), LEAST_CYCLE_MIN)  # a run that counts as none waters nothing
    order = np.argsort(group, kind="stable")
    a = plots.application
    count = int(group.max()) + 1
    landscape = Landscape(
        ground=Ground(
            kl=plots.kl,
            taw_mm=plots.taw_mm,
            raw_mm=plots.raw_mm,
            area_m2=plots.area_m2,
            cell=np.zeros(zones, dtype=np.intp),
        ),
        runs=Runs(
            zone=order,
            program=group[order],
            minutes=minutes[order],
            step=np.ones(zones),
            cycle_min=plots.cycle_min[order],
            soak_min=plots.soak_min[order],
            application=type(a)(
                *(np.broadcast_to(getattr(a, name), (zones,))[order] for name in a.__slots__)
            ),
        ),
        group_of_program=np.arange(count),
        percents=PERCENTS,
        allowed=np.ones((PERCENTS.size, count), dtype=bool),
    )
    return Plan(landscape, days)


def _groups(plots: Plots, usual: Floats, peak: Floats, *, wetness: float, programs: int) -> NDArray[np.intp]:
    """Share the zones out over as many programs as there are: what is alike runs together."""
    if programs >= len(plots.names):
        return np.arange(len(plots.names))
    return grouped(
        days_of_water(plots.raw_mm, usual),
        peak * plots.area_m2,
        most=programs,
        alike=1.0,
        level_weight=min(1.0, 2.0 * wetness),
    )


def longest_gap(days_per_week: int) -> int:
    """Return the longest wait from one watering day to the next. [d]"""
    days = WEEKDAYS[days_per_week]
    return max((later - earlier) % 7 or 7 for earlier, later in zip(days, (*days[1:], days[0]), strict=True))


def days_of_programs(group: NDArray[np.intp], peak: Floats, *, raw_mm: Floats, most: int) -> list[int]:
    """Return the fewest days a week that empty no zone of a program beyond ``DRAWN`` of what it may use."""
    found = []
    for one in range(int(group.max()) + 1):
        lasts = float((DRAWN * raw_mm / peak)[group == one].min())
        enough = (count for count in sorted(WEEKDAYS) if count >= FEWEST and longest_gap(count) <= lasts)
        found.append(min(next(enough, most), most))
    return found


def landing(first: date, *, count: int, days: Sequence[int]) -> NDArray[np.intp]:
    """Return the starts whose water lands on each day, (count, programs), by days a week of each program.

    None lands on the first day.
    """
    weekday = np.array([(first + timedelta(days=n)).weekday() for n in range(count)])
    waters = np.array([np.isin(weekday, WEEKDAYS[one]) for one in days], dtype=np.intp).reshape(-1, count).T
    waters[0] = 0
    return waters
