"""Reference ET of whole days from hours, for rows that are about to be stored."""

from datetime import timedelta
from typing import Final

import numpy as np

from weather.models import WeatherCell
from weather.numerics.hourly import ASCE_EWRI, DAY_H, hourly_reference_et, sums_of_days
from weather.providers.base import CellWeather
from weather.services.reference_et import Key

FORM: Final = ASCE_EWRI


def by_hours(cell: WeatherCell, weather: CellWeather) -> dict[Key, float]:
    """Return reference ET of every day all of whose hours are known, by cell and date. [mm]"""
    hours = weather.hours
    if hours is None:
        return {}
    dates = [hours.first + timedelta(days=n) for n in range(len(hours.t_c) // DAY_H)]
    day_of_year = np.array([float(day.timetuple().tm_yday) for day in dates])
    et_mm = hourly_reference_et(
        t_c=hours.t_c[:, np.newaxis],
        vapour_pressure_kpa=hours.vapour_pressure_kpa[:, np.newaxis],
        wind_2m_m_s=hours.wind_2m_m_s[:, np.newaxis],
        solar_radiation_mj_m2=hours.solar_radiation_mj_m2[:, np.newaxis],
        day_of_year=np.repeat(day_of_year, DAY_H),
        middle_h=np.tile(np.arange(DAY_H) + 0.5, len(dates)),
        latitude_deg=np.array([cell.latitude]),
        longitude_deg=np.array([cell.longitude]),
        utc_offset_h=np.array([hours.utc_offset_h]),
        elevation_m=np.array([cell.elevation_m]),
        form=FORM,
    )
    sums = sums_of_days(et_mm)[:, 0].tolist()
    return {(cell.pk, day): et for day, et in zip(dates, sums, strict=True) if et == et}
