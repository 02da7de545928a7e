"""The weather a replay lives through, and what of it a morning may know: never a day before it comes."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

import numpy as np

from fleet.numerics.ranges import Floats
from scheduling.numerics.replay.days import Weather
from weather.numerics.sun import extraterrestrial_radiation

MJ_PER_MM: Final = 2.45  # latent heat of vaporisation, FAO-56 chapter 1
USUAL_LEVEL: Final = (
    0.5  # reference ET by the sun's ET before any day is known: assumed, between humid and arid
)
LEVEL_DAYS: Final = 30
HORIZON_DAYS: Final = 130


@dataclass(frozen=True, slots=True)
class Climate:
    """Consecutive days of one place from ``first``: reference ET and rain as they came, (days,). [mm]"""

    first: date
    et_mm: Floats
    rain_mm: Floats
    latitude_deg: float

    @property
    def last(self) -> date:
        """Return the last day that is known."""
        return self.first + timedelta(days=self.et_mm.size - 1)

    def month_means(self) -> Floats:
        """Return the mean reference ET of a day of each month, (12,); the whole mean where none is known."""
        month = np.array([(self.first + timedelta(days=n)).month for n in range(self.et_mm.size)])
        whole = float(self.et_mm.mean())
        return np.array(
            [self.et_mm[month == m].mean() if (month == m).any() else whole for m in range(1, 13)]
        )

    @property
    def rain_by_et(self) -> float:
        """Return credited rain by reference ET over all days, how wet the climate is. [-]"""
        return float(0.8 * self.rain_mm.sum() / max(self.et_mm.sum(), 1e-9))


def sun_mm(days: Sequence[date], latitude_deg: float) -> Floats:
    """Return the ET the sun above the air would pay for on each day, (days,). [mm]"""
    numbers = np.array([day.timetuple().tm_yday for day in days], dtype=np.float64)
    return np.asarray(extraterrestrial_radiation(latitude_deg, numbers) / MJ_PER_MM)


def season_weather(climate: Climate, first: date, last: date) -> Weather:
    """Return the weather from ``first`` to ``last`` and on through the horizon.

    Usual ET beyond a forecast is the sun's, times what the thirty days before that morning were of it. Days
    after the last known one, which only late forecasts reach, take the level of the last known ones and
    stay dry.

    Raises
    ------
    ValueError
        If the climate doesn't cover the days.
    """
    if not climate.first <= first <= last <= climate.last:
        raise ValueError(
            f"the weather reaches from {climate.first} to {climate.last}, asked for is {first} to {last}"
        )
    length = (last - first).days + 1
    begun = (first - climate.first).days
    count = length + HORIZON_DAYS
    days = [first + timedelta(days=n) for n in range(count)]
    sun = sun_mm(days, climate.latitude_deg)
    known_sun = sun_mm(
        [climate.first + timedelta(days=n) for n in range(climate.et_mm.size)], climate.latitude_deg
    )
    level = known_levels(climate.et_mm, known_sun)[begun : begun + length]
    et = sun * known_levels(climate.et_mm, known_sun)[-1]
    rain = np.zeros(count)
    have = min(climate.et_mm.size - begun, count)
    et[:have] = climate.et_mm[begun : begun + have]
    rain[:have] = climate.rain_mm[begun : begun + have]
    return Weather(
        et_mm=et[:, np.newaxis],
        rain_mm=rain[:, np.newaxis],
        month=np.array([day.month for day in days]),
        normal_mm=sun[:, np.newaxis],
        level=level[:, np.newaxis],
    )


def known_levels(et_mm: Floats, sun_et_mm: Floats) -> Floats:
    """Return for each morning what the thirty days before it were of the sun's ET, (days + 1,). [-]

    Fewer days count as far as they go; the rest of the thirty are taken at the usual level.
    """
    add = [np.concatenate([[0.0], np.cumsum(values)]) for values in (et_mm, sun_et_mm)]
    mornings = np.arange(et_mm.size + 1)
    since = np.maximum(mornings - LEVEL_DAYS, 0)
    et, sun = (total[mornings] - total[since] for total in add)
    lacking = (LEVEL_DAYS - (mornings - since)) * float(sun_et_mm.mean())
    return np.asarray((et + USUAL_LEVEL * lacking) / np.maximum(sun + lacking, 1e-9))
