"""The water balance of every zone over a season, in one array pass.

The arithmetic is that of ``soil_water.one_day``, in place and in blocks of zones that fit the processor's
cache.
"""

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fleet.numerics.ranges import Floats, within
from scheduling.numerics.water_store import WaterStore
from scheduling.numerics.watering import BlockWatering, Watering

Ints = NDArray[np.integer]
ZONES_AT_ONCE = 4_000


@dataclass(frozen=True, slots=True)
class Marks:
    """Sparse values: on ``day`` (index) for ``zone`` (index) ``value``; three arrays of one length."""

    day: Ints
    zone: Ints
    value: Floats


@dataclass(frozen=True, slots=True)
class Season:
    """End state and sums of each zone, (zones,), in [mm] but for the days.

    ``D_end = D_start - irrigation + drained_irrigation - rain + drained_rain + et + observed``, where
    ``observed`` is what soil observations moved the depletion by. ``full_et_mm`` is the ET of a planting
    never short of water; ``stress_days`` counts days on which ET was held back. ``daily_depletion_mm`` is
    (days, zones), at the end of each day, or None.
    """

    depletion_mm: Floats
    irrigation_mm: Floats
    rain_mm: Floats
    et_mm: Floats
    full_et_mm: Floats
    drained_irrigation_mm: Floats
    drained_rain_mm: Floats
    observed_mm: Floats
    stress_days: NDArray[np.int32]
    daily_depletion_mm: Floats | None

    @property
    def effective_rain_mm(self) -> Floats:
        """Rain that stayed in the root zone. [mm]"""
        return self.rain_mm - self.drained_rain_mm


@dataclass(frozen=True, slots=True)
class _Sky:
    """Weather by cell and what the zones of a block make of it."""

    et: Floats
    rain: Floats
    wet_day: NDArray[np.bool_]
    month: Ints
    cell: NDArray[np.intp]
    kl: Floats


def season_balance(
    *,
    et_mm: Floats,
    rain_mm: Floats,
    cell_of_zone: Ints,
    kl: Floats,
    month_of_day: Ints,
    taw_mm: Floats,
    raw_mm: Floats,
    start_depletion_mm: ArrayLike,
    watering: Watering,
    trims: Marks | None = None,
    observations: Marks | None = None,
    rain_share: float = 0.8,
    keep: bool = False,
    zones_at_once: int = ZONES_AT_ONCE,
) -> Season:
    """Run the balance of every zone over consecutive days.

    Parameters
    ----------
    et_mm, rain_mm : ndarray, shape (days, cells)
        Reference ET and rain of each weather cell, 0 or more. [mm/d]
    cell_of_zone : ndarray of int, shape (zones,)
        Column of a zone's weather.
    kl : ndarray, shape (12, zones)
        Landscape coefficient by month, January first, 0 or more. [-]
    month_of_day : ndarray of int, shape (days,)
        Calendar month, 1 to 12.
    taw_mm, raw_mm : ndarray, shape (zones,)
        Total and readily available water, 0 <= RAW <= TAW. [mm]
    start_depletion_mm : array_like, broadcastable to (zones,)
        Depletion before the first day, 0 or more; what is above TAW counts as TAW. [mm]
    watering : Watering
        What the programs put on, by balance day.
    trims : Marks, optional
        Factors on a zone's landscape ET, each in force from its day until the zone's next. [-]
    observations : Marks, optional
        Depletion seen in the soil; it replaces the computed one at the end of its day. [mm]
    rain_share : float
        Share of the rain that is credited, 0 to 1. [-]
    keep : bool
        Whether to keep the depletion of every day.
    zones_at_once : int
        Size of a block; changes the speed, not the result.

    Returns
    -------
    Season
        NaN for a zone with a NaN among its inputs; the other zones are untouched by it.

    Raises
    ------
    ValueError
        If an argument is out of range or shapes don't agree.

    References
    ----------
    .. [1] FAO Irrigation and Drainage Paper 56 (1998), chapter 8, eqs. 84 to 88.
    """
    taw, raw = within("taw_mm", taw_mm), within("raw_mm", raw_mm)
    if (raw > taw).any():
        raise ValueError(f"raw_mm is {raw[raw > taw].flat[0]:g}, accepted range 0 to TAW")
    zones, (days, cells) = taw.size, np.shape(et_mm)
    month = np.asarray(month_of_day)
    _check(month, cell_of_zone, days=days, cells=cells, zones=zones)
    watering.check(days=days, zones=zones)
    reference_et = within("et_mm", et_mm)
    credited = within("rain_mm", rain_mm) * within("rain_share", rain_share, high=1.0)
    start = np.broadcast_to(within("start_depletion_mm", start_depletion_mm), (zones,))
    factor = within("kl", kl)
    daily = np.empty((days, zones)) if keep else None
    stores = []
    for first in range(0, zones, zones_at_once):
        some = slice(first, min(first + zones_at_once, zones))
        sky = _Sky(
            et=reference_et,
            rain=credited,
            wet_day=(credited != 0.0).any(axis=1),
            month=month - 1,
            cell=cell_of_zone[some].astype(np.intp),
            kl=np.ascontiguousarray(factor[:, some]),
        )
        store = WaterStore(taw_mm=taw[some], raw_mm=raw[some], depletion_mm=start[some])
        _run(
            store,
            sky,
            BlockWatering(watering, some),
            trims=_by_day(trims, some),
            observations=_by_day(observations, some),
            daily=None if daily is None else daily[:, some],
        )
        stores.append(store)
    return _collect(stores, daily)


def _run(
    store: WaterStore,
    sky: _Sky,
    watering: BlockWatering,
    *,
    trims: dict[int, list[tuple[int, float]]],
    observations: dict[int, list[tuple[int, float]]],
    daily: Floats | None,
) -> None:
    """Take a block of zones through the days: irrigation, rain, ET, then what was seen in the soil."""
    trim = np.ones(sky.cell.size) if trims else None
    row = np.empty(sky.cell.size)
    for day, month in enumerate(sky.month):
        depth = watering.on(day)
        if depth is not None:
            store.irrigate(depth)
        if sky.wet_day[day]:
            store.rain_on(sky.rain[day].take(sky.cell, out=row, mode="clip"))
        sky.et[day].take(sky.cell, out=row, mode="clip")
        np.multiply(row, sky.kl[month], out=row)
        if trim is not None:
            for zone, factor in trims.get(day, ()):
                trim[zone] = factor
            np.multiply(row, trim, out=row)
        store.draw(row)
        for zone, depletion in observations.get(day, ()):
            store.observe(zone, depletion)
        if daily is not None:
            daily[day] = store.depletion


def _by_day(marks: Marks | None, zones: slice) -> dict[int, list[tuple[int, float]]]:
    """Sort the marks of a block by day, zones counted from the block's first."""
    found: dict[int, list[tuple[int, float]]] = defaultdict(list)
    if marks is not None:
        for mark in np.flatnonzero((marks.zone >= zones.start) & (marks.zone < zones.stop)):
            found[int(marks.day[mark])].append(
                (int(marks.zone[mark]) - zones.start, float(marks.value[mark]))
            )
    return found


def _collect(stores: list[WaterStore], daily: Floats | None) -> Season:
    def joined(name: str) -> NDArray[Any]:
        return np.concatenate([getattr(store, name) for store in stores]) if stores else np.empty(0)

    return Season(
        depletion_mm=joined("depletion"),
        irrigation_mm=joined("irrigation"),
        rain_mm=joined("rain"),
        et_mm=joined("et"),
        full_et_mm=joined("full_et"),
        drained_irrigation_mm=joined("drained_irrigation"),
        drained_rain_mm=joined("drained_rain"),
        observed_mm=joined("observed"),
        stress_days=joined("stress_days"),
        daily_depletion_mm=daily,
    )


def _check(month: Ints, cell_of_zone: Ints, *, days: int, cells: int, zones: int) -> None:
    if month.shape != (days,) or (month.size and (month.min() < 1 or month.max() > 12)):
        raise ValueError(f"month_of_day has shape {month.shape}, accepted {days} months of 1 to 12")
    if cell_of_zone.shape != (zones,):
        raise ValueError(f"cell_of_zone has shape {cell_of_zone.shape}, accepted {(zones,)}")
    if zones and (cell_of_zone.min() < 0 or cell_of_zone.max() >= cells):
        raise ValueError(
            f"cell_of_zone holds {cell_of_zone.min()} to {cell_of_zone.max()}, accepted 0 to {cells - 1}"
        )
