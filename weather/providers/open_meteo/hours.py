"""Reading one place's hours of an answer, from labels to whole hours.

Temperature, dew point and wind stand for the instant of their label, radiation for the hour before it. An
hour is the mean of the instants at its two ends, and the radiation of the label that ends it: so a day needs
the first label of the next, and the last day of an answer is never whole.
"""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from weather.numerics.atmosphere import wind_at_2m
from weather.numerics.humidity import vapour_pressure_from_dew_point
from weather.providers.base import HourlyWeather
from weather.providers.errors import Misconfigured
from weather.providers.open_meteo.values import column, number, within

HOURLY_UNITS: Final = {
    "temperature_2m": "°C",
    "dew_point_2m": "°C",
    "wind_speed_10m": "m/s",
    "shortwave_radiation": "W/m²",
}
# What can be: a sensor's or a model's zero may lie a little below 0.
SANE: Final = {
    "temperature_2m": (-50.0, 60.0),
    "dew_point_2m": (-90.0, 60.0),
    "wind_speed_10m": (0.0, 47.0),
    "shortwave_radiation": (-5.0, 1500.0),
}
MJ_PER_HOUR_OF_W: Final = 0.0036
_TO_2M: Final = float(wind_at_2m(1.0, 10.0))

Values = NDArray[np.float64]


def read_hours(item: Mapping[str, Any]) -> HourlyWeather | None:
    """Return one place's hours; None where there are none, or they don't follow each other from a midnight.

    Raises
    ------
    Unavailable
        If a column isn't in the shape it should have.
    Misconfigured
        If a unit isn't the one asked for.
    """
    hourly, units = item.get("hourly"), item.get("hourly_units")
    offset = number(item.get("utc_offset_seconds"))
    if not isinstance(hourly, dict) or not isinstance(units, dict) or offset is None:
        return None
    first = _first(hourly.get("time"))
    if first is None:
        return None
    at = {name: within(column(hourly, name), SANE[name]) for name in HOURLY_UNITS}
    for name, unit in HOURLY_UNITS.items():
        said = units.get(name)
        if said != unit and not np.isnan(at[name]).all():
            raise Misconfigured("wrong_units", f"The weather source answered {name} in {said}, not {unit}.")
    return HourlyWeather(
        first=first.date(),
        utc_offset_h=offset / 3600.0,
        t_c=_between(at["temperature_2m"]),
        vapour_pressure_kpa=_between(vapour_pressure_from_dew_point(at["dew_point_2m"])),
        wind_2m_m_s=_between(at["wind_speed_10m"] * _TO_2M),
        solar_radiation_mj_m2=_ended_by(np.maximum(at["shortwave_radiation"], 0.0) * MJ_PER_HOUR_OF_W),
    )


def _first(labels: Any) -> datetime | None:
    """Return the first label if all of them are whole days of hours without a gap."""
    try:
        first = datetime.fromisoformat(labels[0])
        last = datetime.fromisoformat(labels[-1])
    except (TypeError, ValueError, IndexError, KeyError):
        return None
    follow = last - first == timedelta(hours=len(labels) - 1) and len(labels) % 24 == 0
    return first if follow and first.hour == first.minute == 0 else None


def _between(at: Values) -> Values:
    """Return the mean of each label and the next, NaN after the last."""
    return np.append(0.5 * (at[:-1] + at[1:]), np.nan)


def _ended_by(before: Values) -> Values:
    """Return what each label's successor says of the hour between them, NaN after the last."""
    return np.append(before[1:], np.nan)
