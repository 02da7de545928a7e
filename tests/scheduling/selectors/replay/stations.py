"""Weather to replay: a published station-year, and the same year without its rain.

Greensboro, North Carolina, TMY3 of the US National Solar Radiation Data Base, 723170TYA.CSV, which comes with
pvlib. Its liquid precipitation is taken in tenths of a millimetre: 834.5 mm a year, where its column says
millimetres and would give 8 metres.
"""

from datetime import date, timedelta
from functools import cache
from pathlib import Path

import numpy as np
import pvlib

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
