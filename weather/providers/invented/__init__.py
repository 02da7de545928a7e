"""Invented weather for demonstrations and trials: seeded, repeatable, and marked as invented on every day.

A day of a cell is the same whatever else is asked for and whenever; another seed is another sky. Forecasts
are the truth bent by how far ahead they look, so they hit, miss and cry wolf as forecasts do.
"""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final, Self

import numpy as np
from django.conf import settings
from numpy.typing import NDArray

from common import clock
from weather.models import Quality, WeatherCell
from weather.providers.base import Answer, CellWeather, DayWeather
from weather.providers.invented.forecast import foreseen
from weather.providers.invented.noise import Floats
from weather.providers.invented.sky import Place, Sky, true_sky

_FIELDS: Final = (
    "t_min_c",
    "t_max_c",
    "vapour_pressure_kpa",
    "wind_2m_m_s",
    "solar_radiation_mj_m2",
    "rain_mm",
)


@dataclass(kw_only=True)
class Invented:
    """The generator as a source. ``missing`` holds (cell id, date) pairs it keeps silent about."""

    seed: int = 1
    missing: Collection[tuple[int, date]] = ()
    name: str = "invented"
    foresees_any_morning: bool = True

    @classmethod
    def from_settings(cls) -> Self:
        """Return the generator with this installation's seed."""
        return cls(seed=settings.INVENTED_WEATHER_SEED)

    def fetch(self, cells: Sequence[WeatherCell], *, first: date, last: date, on: date) -> Answer:
        """Return the truth for days before ``on`` and what was foreseen that morning for the others."""
        answer = Answer(source=self.name)
        dates = clock.days(first, last)
        if not cells or not dates:
            return answer
        place = _place(self.seed, dates, cells)
        truth = true_sky(place)
        guess = foreseen(truth, place, on=on.toordinal())
        past = place.ordinal < on.toordinal()
        columns = _columns(truth, guess.sky, past)
        columns["rain_probability"] = np.where(past, np.nan, guess.rain_probability)
        for j, cell in enumerate(cells):
            answer.came(cell, self._of_cell(cell, j, dates=dates, columns=columns))
        return answer

    def _of_cell(
        self, cell: WeatherCell, j: int, *, dates: list[date], columns: dict[str, Floats]
    ) -> CellWeather:
        own: dict[str, list[float]] = {name: column[:, j].tolist() for name, column in columns.items()}
        days = [
            _day(day, {name: values[i] for name, values in own.items()})
            for i, day in enumerate(dates)
            if (cell.pk, day) not in self.missing
        ]
        return CellWeather(
            days=tuple(days), latitude=cell.latitude, longitude=cell.longitude, elevation_m=cell.elevation_m
        )


def _day(day: date, values: dict[str, float]) -> DayWeather:
    known: dict[str, Any] = {name: value for name, value in values.items() if not math.isnan(value)}
    return DayWeather(date=day, quality=Quality.INVENTED.value, **known)


def _place(seed: int, dates: list[date], cells: Sequence[WeatherCell]) -> Place:
    return Place(
        seed=seed,
        ordinal=np.array([[float(day.toordinal())] for day in dates]),
        day_of_year=np.array([[float(day.timetuple().tm_yday)] for day in dates]),
        latitude=np.array([cell.latitude for cell in cells]),
        longitude=np.array([cell.longitude for cell in cells]),
        elevation_m=np.array([cell.elevation_m for cell in cells]),
    )


def _columns(truth: Sky, guess: Sky, past: NDArray[np.bool_]) -> dict[str, Floats]:
    return {name: np.where(past, getattr(truth, name), getattr(guess, name)) for name in _FIELDS}
