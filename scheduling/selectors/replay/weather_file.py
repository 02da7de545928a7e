"""Daily weather of one place from a CSV file, as reference ET and rain."""

from collections.abc import Iterable
from datetime import date, timedelta
from math import inf, nan
from typing import Final

import numpy as np

from common.errors import Refused
from fleet.numerics.ranges import Floats
from scheduling.selectors.replay.climate import Climate
from scheduling.selectors.replay.csv_lines import refuse, rows_of
from weather.numerics.reference_et import METHODS, daily_reference_et

COLUMNS: Final = (
    "date",
    "t_min_c",
    "t_max_c",
    "vapour_pressure_kpa",
    "wind_2m_m_s",
    "solar_radiation_mj_m2",
    "rain_mm",
)
LIMITS: Final = {
    "t_min_c": (-60.0, 60.0),
    "t_max_c": (-60.0, 60.0),
    "vapour_pressure_kpa": (0.0, 8.0),
    "wind_2m_m_s": (0.0, 60.0),
    "solar_radiation_mj_m2": (0.0, 50.0),
    "rain_mm": (0.0, 1_000.0),
}
NEEDED: Final = ("date", "t_min_c", "t_max_c")
WHAT: Final = "The weather"


def read_weather(
    lines: Iterable[str], *, latitude_deg: float, elevation_m: float
) -> tuple[Climate, list[str]]:
    """Read daily weather; return it and what had to be filled in, in plain words.

    What is empty but ``date`` and the temperatures is filled in by FAO-56, chapter 3; empty rain is none.

    Raises
    ------
    Refused
        Naming the first lines that can't be, a missing column, or the first gap between dates.
    """
    days: list[date] = []
    values: list[list[float]] = []
    wrong: list[str] = []
    before: date | None = None
    for number, row in rows_of(lines, what=WHAT, columns=COLUMNS, needed=NEEDED):
        try:
            day, found = _day(row)
        except ValueError as error:
            wrong.append(f"line {number}: {error}")
            before = None  # what follows it isn't out of order for that
            continue
        if before and day != before + timedelta(days=1):
            wrong.append(f"line {number}: {_apart(before, day)}")
        before = day
        days.append(day)
        values.append(found)
    refuse(WHAT, wrong)
    if not days:
        raise Refused("The weather has no days.")
    table = np.array(values)
    et, method = daily_reference_et(
        **{name: table[:, [n]] for n, name in enumerate(COLUMNS[1:-1])},
        latitude_deg=np.array([latitude_deg]),
        elevation_m=np.array([elevation_m]),
        day_of_year=np.array([[float(day.timetuple().tm_yday)] for day in days]),
    )
    climate = Climate(
        first=days[0], et_mm=et[:, 0], rain_mm=np.nan_to_num(table[:, -1]), latitude_deg=latitude_deg
    )
    return climate, _filled_in(table, [METHODS[int(code)] for code in method[:, 0]])


def _apart(before: date, day: date) -> str:
    lacking = (day - before).days - 1
    if lacking > 0:
        return f"{day} follows {before}, {lacking} {'days are' if lacking > 1 else 'day is'} missing"
    return f"{day} doesn't follow {before}"


def _day(row: dict[str, str]) -> tuple[date, list[float]]:
    try:
        day = date.fromisoformat(row["date"])
    except ValueError:
        raise ValueError(f"{row['date']!r} is no date like 2026-05-01") from None
    found = [_number(row, name) for name in COLUMNS[1:]]
    if found[0] > found[1]:
        raise ValueError(f"t_min_c {found[0]:g} is above t_max_c {found[1]:g}")
    return day, found


def _number(row: dict[str, str], name: str) -> float:
    text = row.get(name, "")
    if not text:
        if name in NEEDED:
            raise ValueError(f"{name} is empty")
        return nan
    try:
        value = float(text)
    except ValueError:
        raise ValueError(f"{name} {text!r} is no number") from None
    low, high = LIMITS.get(name, (-inf, inf))
    if not low <= value <= high:
        raise ValueError(f"{name} is {value:g}, accepted range {low:g} to {high:g}")
    return value


def _filled_in(table: Floats, methods: list[str]) -> list[str]:
    told = []
    for method in sorted(set(methods) - {"penman-monteith"}):
        told.append(f"Reference ET of {methods.count(method)} days is {method}.")
    if unknown := int(np.isnan(table[:, -1]).sum()):
        told.append(f"Rain of {unknown} days is unknown and counted as none.")
    return told
