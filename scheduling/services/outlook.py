"""What the coming days look like under keeping and under changing: soil water, risk to plants, water used."""

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from scheduling.numerics.percent_search import SLIGHT, trace
from scheduling.services.coming_days import Coming, by_unit

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

WEEK = 7
DRY_AT = 0.25  # share of the way from the limit to wilting from which a zone is called dry: our choice
UNHARMED, SHORT, DRY = 0, 1, 2


@dataclass(frozen=True)
class Outlook:
    """Depletion of every unit under keeping and under changing, (H, units). [mm]"""

    keep: Floats
    change: Floats


@dataclass(frozen=True)
class Risk:
    """What plants of a group go through: the worst zone's level, and from and until when."""

    level: int
    unit: int
    first: date | None
    until: date | None


def keep_trace(coming: Coming) -> Floats:
    """Return the depletion of every unit if nothing changes, (H, units). [mm]"""
    return trace_of(coming, coming.kept_net_by_day() + coming.fixed_mm)


def change_trace(coming: Coming, *, net_mm: Floats, first_day: Ints) -> Floats:
    """Return the depletion if every run gives ``net_mm`` a start from its group's ``first_day`` on.

    Parameters
    ----------
    net_mm : ndarray, shape (runs,)
        Net depth of one start after the change. [mm]
    first_day : ndarray of int, shape (runs,)
        First row of the horizon the change acts on.
    """
    acts = np.arange(coming.days)[:, np.newaxis] >= first_day
    depth = coming.starts * np.where(acts, net_mm, coming.kept_net_mm)
    own = by_unit(depth, coming.unit_of_run, units=len(coming.taw_mm))
    return trace_of(coming, own + coming.fixed_mm)


def skip_trace(coming: Coming) -> Floats:
    """Return the depletion of every unit if its group's coming night is left out, (H, units). [mm]"""
    depth = coming.kept_net_by_day()
    depth[1] = 0.0
    return trace_of(coming, depth + coming.fixed_mm)


def risk_of(coming: Coming, depletion: Floats, units: Ints, *, first: int = 1, days: int = WEEK) -> Risk:
    """Return what the worst of some units goes through in the days from row ``first`` on."""
    rows = slice(first, min(first + days, coming.days))
    taw, raw = coming.taw_mm[units], coming.raw_mm[units]
    past = (depletion[rows][:, units] - raw) / np.maximum(taw - raw, 1e-9)
    worst = past.max(axis=0)
    place = int(np.argmax(worst))
    if worst[place] <= SLIGHT:
        return Risk(UNHARMED, int(units[place]), None, None)
    over = np.flatnonzero(past[:, place] > 1e-6)
    dates = coming.field.days[coming.field.today + first :]
    ends_inside = over[-1] < past.shape[0] - 1
    return Risk(
        DRY if worst[place] > DRY_AT else SHORT,
        int(units[place]),
        dates[over[0]],
        dates[over[-1]] if ends_inside else None,
    )


def litres(
    coming: Coming, *, runs: Ints | slice, gross_change: Floats, first: int, days: int = WEEK
) -> float:
    """Return the water a change uses more (or less) than keeping does, over some days. [L]"""
    window = slice(first, min(first + days, coming.days))
    area = coming.field.survey.area_m2[coming.field.zone_of_run[coming.runs[runs]]]
    count = coming.starts[window][:, runs].sum(axis=0)
    return float(np.sum(area * count * (gross_change - coming.kept_gross_mm[runs])))


def trace_of(coming: Coming, water_mm: Floats) -> Floats:
    """Return the depletion of every unit under all the water it gets, (H, units). [mm]"""
    return trace(
        net_mm=water_mm,
        start_depletion_mm=coming.start_mm,
        et_mm=coming.et_mm,
        rain_mm=coming.rain_mm,
        taw_mm=coming.taw_mm,
        raw_mm=coming.raw_mm,
    )
