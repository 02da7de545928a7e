"""What a weather source is asked and what it answers, whichever source it is."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from weather.models import WeatherCell
from weather.providers.errors import Misconfigured, PlaceRefused, WeatherSourceError

Values = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class DayWeather:
    """One local day of one cell in the service's own units; None is unknown, never zero.

    ``partial`` says that hours were missing, so the extremes can't be trusted and are left out.
    """

    date: date
    quality: str
    t_min_c: float | None = None
    t_max_c: float | None = None
    vapour_pressure_kpa: float | None = None
    wind_2m_m_s: float | None = None
    solar_radiation_mj_m2: float | None = None
    rain_mm: float | None = None
    rain_probability: float | None = None
    provider_et_mm: float | None = None
    partial: bool = False


@dataclass(frozen=True, kw_only=True, eq=False)
class HourlyWeather:
    """Consecutive hours of one cell from a midnight on, each array (hours,); NaN is unknown.

    The clock is ``utc_offset_h`` ahead of universal time throughout, so a day has 24 hours whatever happens
    to the local clock. Means of the hour; radiation is its sum. [degC], [kPa], [m/s], [MJ/m2]
    """

    first: date
    utc_offset_h: float
    t_c: Values
    vapour_pressure_kpa: Values
    wind_2m_m_s: Values
    solar_radiation_mj_m2: Values


@dataclass(frozen=True, kw_only=True)
class CellWeather:
    """What the source said for one cell, and which point of its own grid it spoke of.

    ``hours`` are there where the source was asked for them and told them.
    """

    days: tuple[DayWeather, ...]
    hours: HourlyWeather | None = None
    latitude: float | None = None
    longitude: float | None = None
    elevation_m: float | None = None


@dataclass(frozen=True, kw_only=True)
class Problem:
    """Why a cell got no answer or only part of one."""

    cell_id: int
    code: str
    message: str
    retryable: bool = True
    retry_at: datetime | None = None


@dataclass(kw_only=True)
class Answer:
    """Everything a source had to say: per cell what came and what didn't. A cell may have both."""

    source: str
    cells: dict[int, list[CellWeather]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    alerts: list[WeatherSourceError] = field(default_factory=list)

    def came(self, cell: WeatherCell, weather: CellWeather) -> None:
        """Keep what came for a cell."""
        self.cells.setdefault(cell.pk, []).append(weather)

    def failed(self, cells: Sequence[WeatherCell], error: WeatherSourceError) -> None:
        """Keep one problem for each cell that got nothing because of ``error``."""
        lasting = isinstance(error, Misconfigured | PlaceRefused)
        self.problems += [
            Problem(
                cell_id=cell.pk,
                code=error.code,
                message=error.message,
                retryable=not lasting,
                retry_at=error.retry_at,
            )
            for cell in cells
        ]

    def alert(self, error: WeatherSourceError) -> None:
        """Keep what somebody should look at, once for each kind."""
        if error.code not in {known.code for known in self.alerts}:
            self.alerts.append(error)


class Source(Protocol):
    """A weather source. It never raises for the weather's sake: what went wrong stands in the answer."""

    name: str
    foresees_any_morning: bool
    """Whether, asked for a morning long past, it still answers with what was foreseen on that morning."""

    def fetch(self, cells: Sequence[WeatherCell], *, first: date, last: date, on: date) -> Answer:
        """Return the days from ``first`` to ``last`` as known on the morning of ``on``."""
        ...
