"""Reading one place of an answer: shape, unit strings, gaps, and conversion to the service's own units.

Daily values are made by the source from 24 hourly ones, labelled 00:00 to 23:00 local time. If hours are
missing a sum or mean is null, but a maximum or minimum may be there and cover only part of the day; so a day
whose sums or means have gaps has no extremes we trust. Rain covers 23:00 to 23:00; null is unknown, not zero.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from weather.models import Quality, WeatherCell
from weather.numerics.atmosphere import wind_at_2m
from weather.numerics.humidity import vapour_pressure_from_dew_point, vapour_pressure_from_mean_humidity
from weather.providers.base import CellWeather, DayWeather
from weather.providers.errors import Misconfigured, Unavailable
from weather.providers.open_meteo.hours import read_hours
from weather.providers.open_meteo.values import Values, broken, column, number, within

# Asked for on purpose in these units; an answer in any other is not stored.
UNITS: Final = {
    "temperature_2m_max": "°C",
    "temperature_2m_min": "°C",
    "dew_point_2m_mean": "°C",
    "relative_humidity_2m_mean": "%",
    "wind_speed_10m_mean": "m/s",
    "shortwave_radiation_sum": "MJ/m²",
    "et0_fao_evapotranspiration": "mm",
    "precipitation_sum": "mm",
    "precipitation_probability_max": "%",
}
# The unit of a variable the place's model doesn't carry; all its values are null.
NOT_CARRIED: Final = "undefined"
_TO_2M: Final = float(wind_at_2m(1.0, 10.0))
_SANE_DEW_POINT_C: Final = (-90.0, 70.0)
_SANE_HUMIDITY: Final = (0.0, 1.1)


@dataclass(frozen=True, kw_only=True)
class Stretch:
    """Consecutive days asked of one address, and what the days before ``on`` count as there."""

    url: str
    first: date
    last: date
    on: date
    past_quality: str

    @property
    def days(self) -> int:
        return (self.last - self.first).days + 1


def read_place(item: Any, *, cell: WeatherCell, stretch: Stretch) -> CellWeather:
    """Return one place's days, and its hours where they came.

    Raises
    ------
    Unavailable
        If there are no days.
    Misconfigured
        If units are wrong.
    """
    daily, units = _sections(item)
    _require_timezone(item, cell, stretch)
    _require_units(units, daily)
    values = {name: column(daily, name) for name in UNITS}
    if all(np.isnan(known).all() for known in values.values()):
        raise Unavailable("empty_answer", "The weather source had no values for this place.")
    carried = {name for name in UNITS if units.get(name, NOT_CARRIED) != NOT_CARRIED}
    days = _days(_dates(daily["time"]), values, carried=carried, stretch=stretch)
    return CellWeather(
        days=tuple(day for day in days if stretch.first <= day.date <= stretch.last),
        latitude=number(item.get("latitude")),
        longitude=number(item.get("longitude")),
        elevation_m=number(item.get("elevation")),
        hours=read_hours(item),
    )


def _sections(item: Any) -> tuple[dict[str, Any], dict[str, Any]]:
    if not isinstance(item, dict):
        raise broken()
    daily, units = item.get("daily") or {}, item.get("daily_units") or {}
    if not isinstance(daily, dict) or not isinstance(units, dict):
        raise broken()
    if not daily.get("time"):
        raise Unavailable("empty_answer", "The weather source had no values for this place.")
    return daily, units


def _require_timezone(item: Mapping[str, Any], cell: WeatherCell, stretch: Stretch) -> None:
    # A day that begins elsewhere is another day. Names may differ (an alias); then the offset must be one the
    # zone has: an answer carries the offset of the moment it was asked for, whatever its days' season.
    if item.get("timezone") == cell.timezone:
        return
    zone, year = ZoneInfo(cell.timezone), stretch.last.year
    offsets = {datetime(year, month, 1, tzinfo=zone).utcoffset() for month in (1, 7)}
    said = number(item.get("utc_offset_seconds"))
    if said is None or timedelta(seconds=said) not in offsets:
        raise Misconfigured("wrong_timezone", "The weather source answered for another time zone's days.")


def _require_units(units: Mapping[str, Any], daily: Mapping[str, Any]) -> None:
    if units.get("time") != "iso8601":
        raise Misconfigured("wrong_units", "The weather source wrote dates in a way that wasn't asked for.")
    for name, unit in UNITS.items():
        said = units.get(name, NOT_CARRIED)
        silent = said == NOT_CARRIED and not any(value is not None for value in daily.get(name) or [])
        if said != unit and not silent:
            raise Misconfigured("wrong_units", f"The weather source answered {name} in {said}, not {unit}.")


def _dates(texts: Any) -> list[date]:
    try:
        return [date.fromisoformat(text) for text in texts]
    except (TypeError, ValueError) as error:
        raise broken() from error


def _days(
    dates: list[date], values: dict[str, Values], *, carried: set[str], stretch: Stretch
) -> list[DayWeather]:
    partial = _partial(values, carried)
    converted = {
        "t_min_c": np.where(partial, np.nan, values["temperature_2m_min"]),
        "t_max_c": np.where(partial, np.nan, values["temperature_2m_max"]),
        "vapour_pressure_kpa": np.where(partial, np.nan, _vapour_pressure(values)),
        "wind_2m_m_s": np.where(partial, np.nan, values["wind_speed_10m_mean"] * _TO_2M),
        "solar_radiation_mj_m2": np.where(partial, np.nan, values["shortwave_radiation_sum"]),
        "rain_mm": values["precipitation_sum"],
        "rain_probability": np.clip(values["precipitation_probability_max"] / 100.0, 0.0, 1.0),
        "provider_et_mm": values["et0_fao_evapotranspiration"],
    }
    return [
        DayWeather(
            date=day,
            quality=stretch.past_quality if day < stretch.on else Quality.FORECAST.value,
            partial=bool(partial[i]),
            **{name: number(known[i]) for name, known in converted.items()},
        )
        for i, day in enumerate(dates)
    ]


def _partial(values: dict[str, Values], carried: set[str]) -> NDArray[np.bool_]:
    """Return which days have gaps: an extreme is null, or a mean or sum that this model carries."""
    partial = np.isnan(values["temperature_2m_max"]) | np.isnan(values["temperature_2m_min"])
    for name in ("wind_speed_10m_mean", "shortwave_radiation_sum"):
        if name in carried:
            partial |= np.isnan(values[name])
    if {"dew_point_2m_mean", "relative_humidity_2m_mean"} & carried:
        partial |= np.isnan(values["dew_point_2m_mean"]) & np.isnan(values["relative_humidity_2m_mean"])
    return partial


def _vapour_pressure(values: dict[str, Values]) -> Values:
    """Return the vapour pressure from the dew point, or where there is none from the mean humidity. [kPa]"""
    dew_point = within(values["dew_point_2m_mean"], _SANE_DEW_POINT_C)
    low, high = values["temperature_2m_min"], values["temperature_2m_max"]
    ordered = low <= high
    from_humidity = vapour_pressure_from_mean_humidity(
        t_min_c=np.where(ordered, within(low, _SANE_DEW_POINT_C), np.nan),
        t_max_c=np.where(ordered, within(high, _SANE_DEW_POINT_C), np.nan),
        humidity_mean=within(values["relative_humidity_2m_mean"] / 100.0, _SANE_HUMIDITY),
    )
    return np.where(np.isnan(dew_point), from_humidity, vapour_pressure_from_dew_point(dew_point))
