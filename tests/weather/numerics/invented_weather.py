"""Invented weather of many places, for comparisons and measurements. Seeded, so always the same."""

from typing import Any

import numpy as np
from refet import calcs


def invented_weather(*, sites: int, days: int = 365, seed: int = 20_260_601) -> dict[str, Any]:
    """Return the arguments of ``daily_reference_et`` for places from 55 south to 65 north, sea to mountain.

    Not a climate: seasons, cloud, wind and dryness only have the spread of real ones. The dew point stays at
    or below the night's lowest temperature. Some winter days are too dark to evaporate, some days are calm.
    """
    draw = np.random.default_rng(seed)
    day_of_year = np.arange(1.0, days + 1.0)[:, np.newaxis]
    latitude = draw.uniform(-55.0, 65.0, sites)
    elevation = draw.uniform(-50.0, 3000.0, sites)
    summer = np.cos(2.0 * np.pi * (day_of_year - 200.0) / 365.0) * np.sign(latitude)
    mean = 28.0 - 0.3 * np.abs(latitude) - 0.005 * elevation + (1.0 + 0.25 * np.abs(latitude)) * summer
    mean = mean + draw.normal(0.0, 4.0, (days, sites))
    half_range = draw.uniform(0.5, 10.0, (days, sites))
    dew_point = mean - half_range - draw.uniform(0.0, 12.0, (days, sites))
    above = calcs.ra_daily(np.radians(latitude), day_of_year)
    return {
        "t_min_c": mean - half_range,
        "t_max_c": mean + half_range,
        "vapour_pressure_kpa": calcs.sat_vapor_pressure(dew_point),
        "wind_2m_m_s": draw.gamma(2.0, 1.3, (days, sites)),
        "solar_radiation_mj_m2": above * draw.uniform(0.08, 0.80, (days, sites)),
        "latitude_deg": latitude,
        "elevation_m": elevation,
        "day_of_year": day_of_year,
    }
