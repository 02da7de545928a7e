"""Hourly weather of one place from a CSV file, as daily reference ET and rain.

Days with all their hours take the hourly form of ASCE-EWRI; a day that lacks an hour takes the daily form of
what is there, and both are told.
"""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from math import nan
from typing import Final

import numpy as np

from common.errors import Refused
from fleet.numerics.ranges import Floats
from scheduling.selectors.replay.climate import Climate
from scheduling.selectors.replay.csv_lines import refuse, rows_of
from weather.numerics.hourly import ASCE_EWRI, hourly_reference_et, sums_of_days
from weather.numerics.reference_et import daily_reference_et

COLUMNS: Final = ("time", "t_c", "vapour_pressure_kpa", "wind_2m_m_s", "solar_radiation_mj_m2", "rain_mm")
LIMITS: Final = {
    "t_c": (-60.0, 60.0),
    "vapour_pressure_kpa": (0.0, 8.0),
    "wind_2m_m_s": (0.0, 60.0),
    "solar_radiation_mj_m2": (0.0, 6.0),
    "rain_mm": (0.0, 300.0),
}
HOURS: Final = 24
FEWEST_HOURS: Final = 20  # of a day, for its extremes and means to mean something: our choice
WHAT: Final = "Hourly weather"


def read_hours(
    lines: Iterable[str], *, latitude_deg: float, longitude_deg: float, elevation_m: float
) -> tuple[Climate, list[str]]:
    """Read hourly weather; return it by days and what had to be filled in, in plain words.

    ``time`` is when an hour begins, local standard time the year round, with its offset from universal time
    or without; without, the clock is taken to be the nearest whole hour to the sun's.

    Raises
    ------
    Refused
        Naming the first lines that can't be, a missing column, or the first day with too few hours.
    """
    begun: list[datetime] = []
    values: list[list[float]] = []
    wrong: list[str] = []
    for number, row in rows_of(lines, what=WHAT, columns=COLUMNS, needed=COLUMNS[:-1]):
        try:
            at, found = _hour(row)
            if begun and at.utcoffset() != begun[0].utcoffset():
                raise ValueError(f"{at} has another offset than the first hour, {begun[0]}")
            if begun and at <= begun[-1]:
                raise ValueError(f"{at:%Y-%m-%d %H:%M} doesn't follow {begun[-1]:%Y-%m-%d %H:%M}")
        except ValueError as error:
            wrong.append(f"line {number}: {error}")
            continue
        begun.append(at)
        values.append(found)
    refuse(WHAT, wrong)
    if not begun:
        raise Refused("The weather has no hours.")
    grid = _by_days(begun, np.array(values))
    offset = begun[0].utcoffset()
    ahead = offset / timedelta(hours=1) if offset is not None else round(longitude_deg / 15.0)
    first = begun[0].date()
    et, by_day = _reference_et(
        grid, first, latitude=latitude_deg, longitude=longitude_deg, elevation=elevation_m, ahead=ahead
    )
    days = len(grid)
    told = [f"Reference ET of {days - by_day} days is hourly, ASCE-EWRI."]
    if by_day:
        told.append(f"Reference ET of {by_day} days that lack hours is daily.")
    rain = np.nan_to_num(grid[:, :, -1]).sum(axis=1)
    return Climate(first=first, et_mm=et, rain_mm=rain, latitude_deg=latitude_deg), told


def _hour(row: dict[str, str]) -> tuple[datetime, list[float]]:
    text = row["time"]
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        raise ValueError(f"{text!r} is no time like 2026-05-01T13:00") from None
    if at.minute or at.second:
        raise ValueError(f"{text} isn't the beginning of an hour")
    return at, [_number(row, name) for name in COLUMNS[1:]]


def _number(row: dict[str, str], name: str) -> float:
    text = row.get(name, "")
    if not text:
        return nan
    try:
        value = float(text)
    except ValueError:
        raise ValueError(f"{name} {text!r} is no number") from None
    low, high = LIMITS[name]
    if not low <= value <= high:
        raise ValueError(f"{name} is {value:g}, accepted range {low:g} to {high:g}")
    return value


def _by_days(begun: list[datetime], values: Floats) -> Floats:
    """Return the hours of each day, (days, 24, columns), NaN where one is missing."""
    first, last = begun[0].date(), begun[-1].date()
    days = (last - first).days + 1
    grid = np.full((days, HOURS, values.shape[1]), np.nan)
    for at, row in zip(begun, values, strict=True):
        grid[(at.date() - first).days, at.hour] = row
    known = np.isfinite(grid[:, :, 0]).sum(axis=1)
    short = np.flatnonzero(known < FEWEST_HOURS)
    if short.size:
        day = first + timedelta(days=int(short[0]))
        raise Refused(f"{day} has {known[short[0]]} hours; a day takes {FEWEST_HOURS} at the least.")
    return grid


def _reference_et(
    grid: Floats, first: date, *, latitude: float, longitude: float, elevation: float, ahead: float
) -> tuple[Floats, int]:
    """Return each day's reference ET, (days,) [mm], and on how many days it is daily."""
    days = len(grid)
    number = np.array(
        [(first + timedelta(days=n)).timetuple().tm_yday for n in range(days)], dtype=np.float64
    )
    flat = grid.reshape(days * HOURS, -1)
    place = {"latitude_deg": np.array([latitude]), "elevation_m": np.array([elevation])}
    hourly = hourly_reference_et(
        t_c=flat[:, [0]],
        vapour_pressure_kpa=flat[:, [1]],
        wind_2m_m_s=flat[:, [2]],
        solar_radiation_mj_m2=flat[:, [3]],
        day_of_year=np.repeat(number, HOURS),
        middle_h=np.tile(np.arange(HOURS) + 0.5, days),
        longitude_deg=np.array([longitude]),
        utc_offset_h=np.array([ahead]),
        form=ASCE_EWRI,
        **place,
    )
    whole = sums_of_days(hourly)[:, 0]
    lacking = np.isnan(whole)
    mean = np.nanmean(grid[:, :, :4], axis=1)
    daily, _ = daily_reference_et(
        t_min_c=np.nanmin(grid[:, :, 0], axis=1)[:, np.newaxis],
        t_max_c=np.nanmax(grid[:, :, 0], axis=1)[:, np.newaxis],
        vapour_pressure_kpa=mean[:, [1]],
        wind_2m_m_s=mean[:, [2]],
        solar_radiation_mj_m2=HOURS * mean[:, [3]],
        day_of_year=number[:, np.newaxis],
        **place,
    )
    return np.maximum(np.where(lacking, daily[:, 0], whole), 0.0), int(lacking.sum())
