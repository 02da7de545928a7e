"""A window of days over many cells, with no hole in it that anything known could fill.

Days before the morning ``on``: observed; else the latest forecast for that day issued at most three days
before it; else the month's normal; else the mean of the nearest observed days. Days from ``on``: the latest
forecast not older than three days; beyond its end the normal, else the mean of the last fourteen known days,
without rain. Nothing issued after ``known_by`` and no observed day from ``on`` on is ever looked at.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

from weather.models import WeatherCell
from weather.season import earned, rows
from weather.season.filling import Filling, Kind, Kinds, last_observed, nearby_means
from weather.season.rows import Floats, Grid, Ints


@dataclass(frozen=True, kw_only=True)
class WeatherWindow:
    """Weather of days by cells, days-major; every two-dimensional array is ``(days, cells)``.

    ``reference_et_mm`` is NaN where nothing at all is known (``kind`` NONE). ``rain_mm`` is 0 where it is
    unknown (``rain_kind`` NONE). ``t_min_c`` and ``wind_2m_m_s`` are NaN where neither observed nor foreseen.
    """

    first: date
    on: date
    last: date
    cell_ids: Ints
    reference_et_mm: Floats
    rain_mm: Floats
    t_min_c: Floats
    wind_2m_m_s: Floats
    kind: Kinds
    rain_kind: Kinds
    observed_through: tuple[date | None, ...]
    """Per cell the last day before ``on`` with observed reference ET, or None."""
    fallback_days: Ints
    """Per cell how many days just before ``on`` have no observation."""
    rain_credit: Floats
    """Per cell the share of forecast rain its source has earned, 0.3 to 1. [-]"""

    @property
    def on_row(self) -> int:
        """The row of ``on``: rows before it are past."""
        return (self.on - self.first).days

    @property
    def credited_rain_mm(self) -> Floats:
        """Observed rain in full, forecast rain times what its source has earned. [mm]"""
        foreseen = (self.rain_kind == Kind.FORECAST) | (self.rain_kind == Kind.STAND_IN)
        return self.rain_mm * np.where(foreseen, self.rain_credit, 1.0)


def weather_window(
    *, cells: Sequence[WeatherCell], first: date, on: date, last: date, known_by: datetime
) -> WeatherWindow:
    """Read the weather of ``cells`` from ``first`` to ``last`` as known on the morning of ``on``.

    Parameters
    ----------
    cells
        One column each, in this order.
    first, on, last
        First day, the morning of the decision, last day; ``first <= on <= last + 1``.
    known_by
        The latest moment a forecast may have been issued, with a time zone.

    Raises
    ------
    ValueError
        If the days are out of order.
    """
    if not first <= on <= last + timedelta(days=1):
        raise ValueError(f"on is {on}; it must lie within {first} to the day after {last}")
    grid = Grid(cells=cells, first=first, last=last)
    since = min(first, on - timedelta(days=earned.LOOK_BACK_DAYS))
    observed = rows.observed_days(grid, since=since, before=on)
    foretold = rows.rain_forecasts(grid, since=since, before=on, known_by=known_by)
    filling = Filling(grid, on_row=(on - first).days)
    filling.put_observed(observed)
    filling.put_forecasts(rows.forecast_days(grid, on=on, known_by=known_by, lacking=filling.lacking(first)))
    observed_et = np.where(filling.kind == Kind.OBSERVED, filling.reference_et_mm, np.nan)
    filling.put(rows.normal_reference_et(grid)[grid.months()], Kind.NORMAL)
    filling.put(nearby_means(observed_et, filling), Kind.RECENT)
    through, fallback_days = last_observed(observed_et, filling.on_row)
    return WeatherWindow(
        first=first,
        on=on,
        last=last,
        cell_ids=np.array([cell.pk for cell in cells], dtype=np.int64),
        reference_et_mm=filling.reference_et_mm,
        rain_mm=np.nan_to_num(filling.rain_mm),
        t_min_c=filling.t_min_c,
        wind_2m_m_s=filling.wind_2m_m_s,
        kind=filling.kind,
        rain_kind=filling.rain_kind,
        observed_through=tuple(None if day < 0 else first + timedelta(days=day) for day in through.tolist()),
        fallback_days=fallback_days,
        rain_credit=earned.rain_credit(grid, forecasts=foretold, observed=observed),
    )
