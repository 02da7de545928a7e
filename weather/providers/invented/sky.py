"""The invented climate: a valley with dry summers, hot spells, and a front with rain now and then.

Every number here is made up to look plausible; none describes a real place. Arrays are ``(days, cells)``.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from weather.numerics.humidity import vapour_pressure_from_dew_point
from weather.numerics.radiation import clear_sky_radiation
from weather.numerics.sun import extraterrestrial_radiation
from weather.providers.invented.noise import Floats, field, rounded

SPELL, SLOW, FRONT, SHOWER, BREEZE = range(1, 6)
_WARMEST_DAY: Final = 203.0
_REGION_DEG: Final = 3.0
_NEAR_DEG: Final = 0.25
WIND_M_S: Final = (0.5, 9.0)


@dataclass(frozen=True, kw_only=True)
class Place:
    """Cells and days to invent weather for. ``ordinal`` and ``day_of_year`` are ``(days, 1)``."""

    seed: int
    ordinal: Floats
    day_of_year: Floats
    latitude: Floats
    longitude: Floats
    elevation_m: Floats

    def noise(self, stream: int, *, period: float, spacing: float) -> Floats:
        """Return one field of chance for these days and cells."""
        return field(
            self.seed * 1000 + stream,
            day=self.ordinal,
            latitude=self.latitude,
            longitude=self.longitude,
            period=period,
            spacing=spacing,
        )

    def summer(self) -> Floats:
        """Return the season from -1 (midwinter) to 1 (midsummer)."""
        turn = np.cos(2.0 * math.pi * (self.day_of_year - _WARMEST_DAY) / 365.25)
        return turn * np.where(self.latitude < 0, -1.0, 1.0)


@dataclass(frozen=True, kw_only=True)
class Sky:
    """A day's weather, each field ``(days, cells)``."""

    t_min_c: Floats
    t_max_c: Floats
    vapour_pressure_kpa: Floats
    wind_2m_m_s: Floats
    solar_radiation_mj_m2: Floats
    rain_mm: Floats
    cloud: Floats
    clear_mj_m2: Floats


def true_sky(place: Place) -> Sky:
    """Return what the sky did."""
    summer = place.summer()
    warmth = 0.75 * place.noise(SPELL, period=6.0, spacing=_REGION_DEG) + 0.66 * place.noise(
        SLOW, period=19.0, spacing=_REGION_DEG
    )
    front = _front(place, warmth)
    threshold = _rain_threshold(summer)
    cloud = 1.0 / (1.0 + np.exp(-2.2 * (front - threshold + 0.6)))
    rain = _rain(place, front - threshold)
    mean = 16.4 + 9.2 * summer + 2.9 * warmth - 0.6 * (np.abs(place.latitude) - 38.0)
    mean = mean - 0.0065 * place.elevation_m - 1.5 * (rain > 0)
    half = 0.5 * (13.0 + 4.5 * summer) * (1.0 - 0.5 * cloud)
    dew_point = mean - half - (2.0 + summer) * (1.0 - cloud) + 0.8 * (rain > 0)
    gusts = place.noise(BREEZE, period=1.5, spacing=_REGION_DEG)
    clear = clear_sky_radiation(
        extraterrestrial_radiation(place.latitude, place.day_of_year), place.elevation_m
    )
    return Sky(
        t_min_c=rounded(mean - half, 1),
        t_max_c=rounded(mean + half, 1),
        vapour_pressure_kpa=rounded(vapour_pressure_from_dew_point(dew_point), 3),
        wind_2m_m_s=rounded(1.9 * np.exp(0.22 * gusts + 0.2 * np.maximum(front, 0.0)), 2, within=WIND_M_S),
        solar_radiation_mj_m2=rounded(under_cloud(clear, cloud), 2),
        rain_mm=rain,
        cloud=cloud,
        clear_mj_m2=clear,
    )


def under_cloud(clear_mj_m2: Floats, cloud: Floats) -> Floats:
    """Return the solar radiation that comes through. [MJ/m2]"""
    return 0.98 * clear_mj_m2 * (1.0 - 0.72 * cloud**1.2)


def _front(place: Place, warmth: Floats) -> Floats:
    """Return how near a front is; warm spells keep fronts away."""
    region = place.noise(FRONT, period=2.3, spacing=_REGION_DEG)
    near = place.noise(FRONT + 100, period=2.3, spacing=_NEAR_DEG)
    return (0.96 * region + 0.2 * near - 0.3 * warmth) / math.hypot(0.96, 0.2, 0.3)


def _rain_threshold(summer: Floats) -> Floats:
    """Return how near a front must be for rain: one day in three in midwinter, one in twenty in midsummer."""
    return 1.05 + 0.6 * summer


def _rain(place: Place, excess: Floats) -> Floats:
    shower = np.exp(0.4 * place.noise(SHOWER, period=1.0, spacing=_NEAR_DEG) - 0.08)
    depth = 10.0 * (np.maximum(excess, 0.0) + 0.12) * shower * (1.0 + place.elevation_m / 1500.0)
    return np.where((excess > 0) & (depth >= 0.5), np.round(depth, 1), 0.0)
