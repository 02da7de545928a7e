"""Weather to replay: a published station-year, and the same year without its rain.

Greensboro, North Carolina, TMY3 of the US National Solar Radiation Data Base, 723170TYA.CSV, which comes with
pvlib. Its liquid precipitation is taken in tenths of a millimetre: 834.5 mm a year, where its column says
millimetres and would give 8 metres.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from pathlib import Path

import numpy as np
import pvlib
from vega_datasets import local_data

from scheduling.selectors.replay.climate import Climate
from scheduling.selectors.replay.weather_file import read_weather
from weather.numerics.atmosphere import wind_at_2m
from weather.numerics.humidity import vapour_pressure_from_dew_point

LATITUDE, LONGITUDE, ELEVATION = 36.1, -79.95, 273.0
FIRST = date(2023, 1, 1)
HEAD = "date,t_min_c,t_max_c,vapour_pressure_kpa,wind_2m_m_s,solar_radiation_mj_m2,rain_mm"


@cache
def greensboro(*, dry: bool = False) -> list[str]:
    """Return the year as lines of a CSV file, dated 2023."""
    hours, _ = pvlib.iotools.read_tmy3(
        Path(pvlib.__file__).parent / "data" / "723170TYA.CSV", map_variables=True
    )
    columns = ("temp_air", "temp_dew", "wind_speed", "ghi", "Lprecip depth (mm)")
    temperature, dew, wind, sun, rain = (
        hours[name].to_numpy(dtype=float).reshape(365, 24) for name in columns
    )
    table = np.column_stack(
        [
            temperature.min(axis=1),
            temperature.max(axis=1),
            vapour_pressure_from_dew_point(dew).mean(axis=1),
            wind_at_2m(wind.mean(axis=1), 10.0),
            0.0036 * sun.sum(axis=1),
            np.zeros(365) if dry else 0.1 * rain.sum(axis=1),
        ]
    )
    return [HEAD] + [
        ",".join([(FIRST + timedelta(days=n)).isoformat(), *(f"{value:.4f}" for value in row)])
        for n, row in enumerate(table)
    ]


@dataclass(frozen=True)
class Station:
    """A place with seasons to replay; ``tuned_on`` whether the policy was chosen on it."""

    name: str
    climate: Climate
    seasons: list[tuple[date, date]]
    tuned_on: bool


@cache
def stations() -> list[Station]:
    """Return every station: Greensboro with and without its rain, Miami (TMY2, no rain in it), Seattle.

    Miami is 12839.tm2 of pvlib. Seattle's four years come with vega_datasets, temperatures and rain alone:
    its reference ET is Hargreaves-Samani.
    """
    year = [(date(2023, 4, 1), date(2023, 11, 6))]
    place = {"latitude_deg": LATITUDE, "elevation_m": ELEVATION}
    humid, _ = read_weather(greensboro(), **place)
    dry, _ = read_weather(greensboro(dry=True), **place)
    seattle, _ = read_weather(seattle_days(), latitude_deg=47.6, elevation_m=50.0)
    miami, _ = read_weather(miami_days(), latitude_deg=25.8, elevation_m=2.0)
    summers = [(date(y, 4, 1), date(y, 10, 31)) for y in (2012, 2013, 2014, 2015)]
    return [
        Station("Greensboro", humid, year, tuned_on=True),
        Station("Greensboro without rain", dry, year, tuned_on=True),
        Station("Miami, no rain known", miami, year, tuned_on=False),
        Station("Seattle", seattle, summers, tuned_on=False),
    ]


def seattle_days() -> list[str]:
    """Return Seattle's days, 2012 to 2015, as lines of a CSV file."""
    table = local_data.seattle_weather()
    return ["date,t_min_c,t_max_c,rain_mm"] + [
        f"{row.date:%Y-%m-%d},{row.temp_min},{row.temp_max},{row.precipitation}" for row in table.itertuples()
    ]


def miami_days() -> list[str]:
    """Return Miami's typical year as lines of a CSV file, dated 2023."""
    hours, _ = pvlib.iotools.read_tmy2(Path(pvlib.__file__).parent / "data" / "12839.tm2")
    temperature, dew, wind = (
        hours[name].to_numpy(dtype=float).reshape(365, 24) / 10.0 for name in ("DryBulb", "DewPoint", "Wspd")
    )
    sun = hours["GHI"].to_numpy(dtype=float).reshape(365, 24)
    table = np.column_stack(
        [
            temperature.min(axis=1),
            temperature.max(axis=1),
            vapour_pressure_from_dew_point(dew).mean(axis=1),
            wind_at_2m(wind.mean(axis=1), 10.0),
            0.0036 * sun.sum(axis=1),
            np.zeros(365),
        ]
    )
    return [HEAD] + [
        ",".join([(FIRST + timedelta(days=n)).isoformat(), *(f"{value:.4f}" for value in row)])
        for n, row in enumerate(table)
    ]
