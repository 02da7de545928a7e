"""What a source's rain forecasts have earned: how much of the rain it foretold has come.

Of the rain foretold one to three days ahead, the share that fell on those same days. Rain nobody foretold
earns nothing here: it is a forecast that gets credited, and this says how far to believe one.
"""

from typing import Final

import numpy as np

from weather.numerics.earned import WITHOUT_RECORD, earned_share
from weather.season.rows import Days, Floats, Grid

LOOK_BACK_DAYS: Final = 180
LEADS: Final = (1, 3)


def rain_credit(grid: Grid, *, forecasts: Days, observed: Days) -> Floats:
    """Return the share of forecast rain to credit, ``(cells,)``, 0.3 to 1. [-]

    A cell with fewer than five days of foretold rain and known outcome gets 0.7.
    """
    cells = grid.shape[1]
    if forecasts.row.size == 0:
        return np.full(cells, WITHOUT_RECORD)
    start = min(int(forecasts.row.min()), int(observed.row.min(initial=0)))
    days = max(int(forecasts.row.max()), int(observed.row.max(initial=0))) - start + 1
    fell = np.full((days, cells), np.nan)
    fell[observed.row - start, observed.column] = observed.weather["rain_mm"]
    foretold = _by_lead(forecasts, start=start, shape=(days, cells))
    paired = ~np.isnan(foretold) & ~np.isnan(fell)[None]
    came = np.where(paired, np.nan_to_num(fell)[None], 0.0).sum(axis=(0, 1))
    said = np.where(paired, np.nan_to_num(foretold), 0.0).sum(axis=(0, 1))
    return earned_share(came, said, days=paired.any(axis=0).sum(axis=0))


def _by_lead(forecasts: Days, *, start: int, shape: tuple[int, int]) -> Floats:
    """Return foretold rain as ``(leads, days, cells)``; the latest of one morning."""
    lead = forecasts.row - forecasts.issued
    kept = (lead >= LEADS[0]) & (lead <= LEADS[1])
    foretold = np.full((LEADS[1] - LEADS[0] + 1, *shape), np.nan)
    place = lead[kept] - LEADS[0], forecasts.row[kept] - start, forecasts.column[kept]
    foretold[place] = forecasts.weather["rain_mm"][kept]
    return foretold
