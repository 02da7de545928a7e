"""Filling a window's holes, best source first, without ever writing over what is known."""

from datetime import date, timedelta
from enum import IntEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from weather.season.rows import FORECAST_GOOD_DAYS, Days, Floats, Grid, Ints

NEAREST_DAYS: Final = 7
RECENT_DAYS: Final = 14

Kinds = NDArray[np.int8]


class Kind(IntEnum):
    """Where a day's value comes from."""

    OBSERVED = 0
    STAND_IN = 1
    FORECAST = 2
    NORMAL = 3
    RECENT = 4
    NONE = 5


class Filling:
    """The window while it is being filled, best source first; what is known is never written over."""

    def __init__(self, grid: Grid, *, on_row: int) -> None:
        self.grid, self.on_row = grid, on_row
        self.reference_et_mm, self.rain_mm, self.t_min_c, self.wind_2m_m_s = (
            np.full(grid.shape, np.nan) for _ in range(4)
        )
        self.kind, self.rain_kind = (np.full(grid.shape, Kind.NONE, dtype=np.int8) for _ in range(2))

    def put_observed(self, days: Days) -> None:
        """Put in what was observed within the window."""
        inside = days.row >= 0
        place = days.row[inside], days.column[inside]
        for name, values in days.weather.items():
            getattr(self, name)[place] = values[inside]
        self.kind[~np.isnan(self.reference_et_mm)] = Kind.OBSERVED
        self.rain_kind[~np.isnan(self.rain_mm)] = Kind.OBSERVED

    def lacking(self, first: date) -> list[tuple[int, date]]:
        """Return the (cell id, day) pairs before ``on`` that have no reference ET yet."""
        days, columns = np.nonzero(np.isnan(self.reference_et_mm[: self.on_row]))
        ids = [cell.pk for cell in self.grid.cells]
        return [
            (ids[j], first + timedelta(days=i)) for i, j in zip(days.tolist(), columns.tolist(), strict=True)
        ]

    def put_forecasts(self, days: Days) -> None:
        """Put in what was foreseen: for a day before ``on`` in its stead, else as the forecast."""
        age = np.minimum(days.row, self.on_row) - days.issued
        good = (age >= 0) & (age <= FORECAST_GOOD_DAYS) & (days.row >= 0) & (days.row < self.grid.shape[0])
        place = days.row[good], days.column[good]
        latest = {name: np.full(self.grid.shape, np.nan) for name in days.weather}
        for name, values in days.weather.items():
            latest[name][place] = values[good]
        ahead = np.arange(self.grid.shape[0])[:, None] >= self.on_row
        kinds = np.broadcast_to(np.where(ahead, Kind.FORECAST, Kind.STAND_IN), self.grid.shape)
        empty = np.isnan(self.reference_et_mm) & ~np.isnan(latest["reference_et_mm"])
        rain = empty & np.isnan(self.rain_mm) & ~np.isnan(latest["rain_mm"])
        for name in ("reference_et_mm", "t_min_c", "wind_2m_m_s"):
            getattr(self, name)[empty] = latest[name][empty]
        self.rain_mm[rain] = latest["rain_mm"][rain]
        self.kind[empty] = kinds[empty]
        self.rain_kind[rain] = kinds[rain]

    def put(self, values: Floats, kind: Kind) -> None:
        """Put reference ET in where there is none yet."""
        empty = np.isnan(self.reference_et_mm) & ~np.isnan(values)
        self.reference_et_mm[empty] = values[empty]
        self.kind[empty] = kind


def nearby_means(observed_et: Floats, filling: Filling) -> Floats:
    """Return the mean of the nearest observed days, and for days ahead of the last known ones. [mm]"""
    means = np.full(observed_et.shape, np.nan)
    for j in np.nonzero(np.isnan(filling.reference_et_mm).any(axis=0))[0]:
        known = np.nonzero(~np.isnan(observed_et[:, j]))[0]
        if not known.size:
            continue
        values = observed_et[known, j]
        means[filling.on_row :, j] = values[-RECENT_DAYS:].mean()
        for i in np.nonzero(np.isnan(filling.reference_et_mm[: filling.on_row, j]))[0]:
            nearest = np.argsort(np.abs(known - i), kind="stable")[:NEAREST_DAYS]
            means[i, j] = values[nearest].mean()
    return means


def last_observed(observed_et: Floats, on_row: int) -> tuple[Ints, Ints]:
    """Return each cell's last observed row, -1 if none, and how many rows follow before ``on_row``."""
    numbered = np.where(np.isnan(observed_et), -1, np.arange(observed_et.shape[0])[:, None])
    through = numbered.max(axis=0, initial=-1)
    return through, on_row - 1 - through
