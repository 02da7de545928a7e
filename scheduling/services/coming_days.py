"""The coming days of every decision unit as arrays: what each zone starts with, loses and gets anyway."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scheduling.season.field import Field
from scheduling.selectors.balance import Balance
from scheduling.services.groups import READY, Group

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

FORECAST_DAYS = 7
HORIZON_DAYS = 14  # seven forecast days and seven normal ones without rain
LONGEST_HORIZON_DAYS = 42  # to the next visit but one, where a controller can't be reached


@dataclass(frozen=True)
class Coming:
    """Ready groups with their units (one zone inside one group) and runs; row 0 is the decision day.

    Water of row 0 fell in the night before and stands in ``fixed_mm``; ``starts`` are those the decision can
    still move, from row 1 on. ``kept`` depths are those at the percent now in force.
    """

    field: Field
    groups: list[Group]
    group_of_unit: Ints
    zone_of_unit: Ints
    runs: Ints  # places on the field's runs axis
    unit_of_run: Ints
    starts: Ints  # (H, runs)
    kept_net_mm: Floats  # (runs,)
    kept_gross_mm: Floats  # (runs,)
    fixed_mm: Floats  # (H, units)
    et_mm: Floats  # (H, units)
    rain_mm: Floats  # (H, units)
    start_mm: Floats
    taw_mm: Floats
    raw_mm: Floats

    @property
    def days(self) -> int:
        """Return the length of the horizon."""
        return len(self.et_mm)

    @cached_property
    def _edges(self) -> tuple[Ints, Ints]:
        places = np.arange(len(self.groups) + 1)
        return (
            np.searchsorted(self.group_of_unit, places),
            np.searchsorted(self.group_of_unit[self.unit_of_run], places),
        )

    def units_and_runs(self, place: int) -> tuple[Ints, Ints]:
        """Return the places of a group's units and runs; both axes are sorted by group."""
        units, runs = self._edges
        return np.arange(units[place], units[place + 1]), np.arange(runs[place], runs[place + 1])

    @cached_property
    def _told(self) -> dict[int, list[dict[str, Any]]]:
        return {}

    def weather_days(self, column: int, *, count: int) -> list[dict[str, Any]]:
        """Return the weather of the first days of one cell, ready to be written down."""
        if column not in self._told:
            self._told[column] = [_weather_day(self.field, row, column) for row in range(self.days)]
        return self._told[column][:count]

    def kept_net_by_day(self) -> Floats:
        """Return what the group's own programs give each unit if nothing changes, (H, units). [mm]"""
        return by_unit(self.starts * self.kept_net_mm, self.unit_of_run, units=len(self.taw_mm))


def _weather_day(field: Field, row: int, column: int) -> dict[str, Any]:
    at = field.today + row
    return {
        "date": field.days[at].isoformat(),
        "et0_mm": float(field.weather.reference_et_mm[at, column]),
        "rain_mm": float(np.nan_to_num(field.weather.rain_mm[at, column])),
        "rain_effective_mm": float(field.rain_effective[at, column]),
        "kind": field.sky.kind_word(at, column),
    }


def by_unit(of_run: Floats | Ints, unit_of_run: Ints, *, units: int) -> Floats:
    """Add up (H, runs) by unit: (H, units)."""
    total = np.zeros((len(of_run), units))
    for day, row in enumerate(of_run):
        total[day] = np.bincount(unit_of_run, weights=row, minlength=units)
    return total


def coming_days(field: Field, balance: Balance, groups: list[Group]) -> Coming:
    """Lay out the coming days of the groups that are ready."""
    ready = [group for group in groups if group.state == READY]
    group_of_unit = np.array([n for n, g in enumerate(ready) for _ in g.zones], dtype=np.intp)
    zone_of_unit = np.array([z for g in ready for z in g.zones], dtype=np.intp)
    unit_at = {(int(g), int(z)): u for u, (g, z) in enumerate(zip(group_of_unit, zone_of_unit, strict=True))}
    runs = np.array([run for g in ready for run in g.runs], dtype=np.intp)
    group_of_run = np.array([n for n, g in enumerate(ready) for _ in g.runs], dtype=np.intp)
    unit_of_run = np.array(
        [unit_at[int(g), int(field.zone_of_run[r])] for g, r in zip(group_of_run, runs, strict=True)],
        dtype=np.intp,
    )
    window = slice(field.today, None)
    starts = field.starts[window][:, field.program_of_run[runs]].copy()
    net_all, gross_all = _in_force(field, row=field.today + 1)
    fixed = _all_water(field, net_all, window)[:, zone_of_unit]
    own = by_unit(starts * net_all[runs], unit_of_run, units=len(zone_of_unit))
    fixed[1:] -= own[1:]
    np.maximum(fixed, 0.0, out=fixed)
    starts[0] = 0
    cells = field.cell_of_zone[zone_of_unit]
    kl = field.survey.kl[field.months[window] - 1][:, zone_of_unit] * field.trim_today[zone_of_unit]
    return Coming(
        field=field,
        groups=ready,
        group_of_unit=group_of_unit,
        zone_of_unit=zone_of_unit,
        runs=runs,
        unit_of_run=unit_of_run,
        starts=starts,
        kept_net_mm=net_all[runs],
        kept_gross_mm=gross_all[runs],
        fixed_mm=fixed,
        et_mm=field.weather.reference_et_mm[window][:, cells] * kl,
        rain_mm=field.rain_effective[window][:, cells],
        start_mm=balance.depletion_mm[zone_of_unit],
        taw_mm=field.survey.taw_mm[zone_of_unit],
        raw_mm=field.survey.raw_mm[zone_of_unit],
    )


def _in_force(field: Field, *, row: int) -> tuple[Floats, Floats]:
    """Return net and gross depth of one start of every run at the percent behind a day's water."""
    percent_of_run = field.percents[row][field.program_of_run]
    held = np.unique(percent_of_run)
    if not held.size:
        return np.zeros(0), np.zeros(0)
    depths = field.depths(held.astype(np.float64))
    at = np.searchsorted(held, percent_of_run), np.arange(len(percent_of_run))
    return depths.net_mm[at], depths.gross_mm[at]


def _all_water(field: Field, net_mm: Floats, window: slice) -> Floats:
    """Return what all programs give each zone on the days of the window, (H, zones). [mm]"""
    net_today, _ = _in_force(field, row=field.today)
    starts = field.starts[window][:, field.program_of_run]
    depth = starts * net_mm
    depth[0] = starts[0] * net_today
    return by_unit(depth, field.zone_of_run, units=len(field.zones))
