"""A measured year, pulled by the real adapter over a real socket and stored.

The hours are those of the US National Solar Radiation Data Base, TMY3 station 723170, Greensboro, North
Carolina; the file comes with pvlib. Its rain column holds tenths of a millimetre, whatever its heading says.
Reference ET of the year was worked out with refet (standardized, short) before ours existed: 1117 mm with the
mean of the hourly vapour pressures, 1125.5 mm with the vapour pressure of the mean dew point.
"""

from datetime import date
from pathlib import Path

import numpy as np
import pvlib
import pytest

from tests.weather.conftest import NO_LIMITS
from weather.models import FetchDay, ObservedDay
from weather.providers.open_meteo import OpenMeteo
from weather.services.cells import cell_for
from weather.services.fetch import fetch_due

pytestmark = pytest.mark.django_db

FILE = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
ON = date(2026, 4, 10)
WATT_HOURS_TO_MJ = 0.0036


@pytest.fixture(scope="module")
def hours():
    """Return the year's hours as (day, hour) arrays."""
    table, _ = pvlib.iotools.read_tmy3(FILE, map_variables=False)
    columns = {
        "air": "Dry-bulb (C)",
        "dew": "Dew-point (C)",
        "humidity": "RHum (%)",
        "wind": "Wspd (m/s)",
        "sun": "GHI (W/m^2)",
        "rain": "Lprecip depth (mm)",
    }
    return {name: table[column].to_numpy(dtype=float).reshape(365, 24) for name, column in columns.items()}


def dew_point_of_mean_vapour_pressure(dew):
    """FAO-56 eqs. 14 and 3-11 solved for the dew point."""
    pressure = (0.6108 * np.exp(17.27 * dew / (dew + 237.3))).mean(axis=1)
    logarithm = np.log(pressure / 0.6108)
    return 237.3 * logarithm / (17.27 - logarithm)


def serve(stand_in, hours, dew_point) -> None:
    """Serve the year with the decimals the source prints; every calendar year gets the same days."""
    columns = {
        "temperature_2m_max": hours["air"].max(axis=1).round(1),
        "temperature_2m_min": hours["air"].min(axis=1).round(1),
        "dew_point_2m_mean": dew_point.round(1),
        "relative_humidity_2m_mean": hours["humidity"].mean(axis=1).round(0),
        "wind_speed_10m_mean": hours["wind"].mean(axis=1).round(2),
        "shortwave_radiation_sum": (hours["sun"].sum(axis=1) * WATT_HOURS_TO_MJ).round(2),
        "precipitation_sum": (hours["rain"].sum(axis=1) / 10.0).round(2),
    }
    nothing = {"et0_fao_evapotranspiration": None, "precipitation_probability_max": None}
    stand_in.day = lambda day: (
        {name: float(values[min(day.timetuple().tm_yday, 365) - 1]) for name, values in columns.items()}
        | nothing
    )


def serve_hours(stand_in, hours) -> None:
    """Serve the hours too. The file's first hour ends at one o'clock: a label stands for the row before."""
    columns = {
        "temperature_2m": hours["air"].ravel().round(1),
        "dew_point_2m": hours["dew"].ravel().round(1),
        "wind_speed_10m": hours["wind"].ravel().round(2),
        "shortwave_radiation": hours["sun"].ravel().round(1),
    }

    def row(label):
        return ((min(label.timetuple().tm_yday, 365) - 1) * 24 + label.hour - 1) % (365 * 24)

    stand_in.hour = lambda label: {name: float(values[row(label)]) for name, values in columns.items()}
    stand_in.change = lambda _, item: item | {"utc_offset_seconds": -18000}  # standard time, as the file's


@pytest.fixture
def year(stand_in):
    def pulled(*, by_hours=False):
        cell = cell_for(latitude=36.1, longitude=-79.95, elevation_m=273.0, timezone="America/New_York")
        source = OpenMeteo(
            url=stand_in.url("/v1/forecast"),
            archive_url=stand_in.url("/v1/archive"),
            limits=NO_LIMITS,
            hours=by_hours,
        )
        fetch_due(on=ON, timezone="America/New_York", cells=[cell], first=date(2025, 1, 1), source=source)
        assert stand_in.paths == ["/v1/archive", "/v1/forecast"]
        return ObservedDay.objects.filter(date__year=2025)

    return pulled


def total(days, name: str) -> float:
    return sum(days.values_list(name, flat=True))


def test_the_year_takes_1117_mm_by_penman_monteith_every_day(stand_in, hours, year):
    serve(stand_in, hours, dew_point_of_mean_vapour_pressure(hours["dew"]))
    days = year()
    assert days.count() == 365
    assert set(days.values_list("et_method", flat=True)) == {"penman-monteith"}
    assert total(days, "reference_et_mm") == pytest.approx(1117, abs=1)


def test_with_the_mean_dew_point_the_source_really_sends_it_is_8_mm_more(stand_in, hours, year):
    """The saturation curve is bent: the vapour pressure of a mean dew point is below the mean one."""
    serve(stand_in, hours, hours["dew"].mean(axis=1))
    assert total(year(), "reference_et_mm") == pytest.approx(1125.5, abs=1)


def test_the_years_rain_arrives_whole(stand_in, hours, year):
    serve(stand_in, hours, hours["dew"].mean(axis=1))
    assert total(year(), "rain_mm") == pytest.approx(834.5, abs=0.01)


def test_by_the_hour_the_year_takes_1118_mm_and_a_day_up_to_a_millimetre_more_or_less(stand_in, hours, year):
    """The equation itself is checked in tests/weather/numerics/test_hourly.py; here hours come as labels.

    There the rows stand for whole hours (1126 mm). A label's temperature is an instant, so here an hour's is
    the mean of two, half an hour cooler in the morning when the sun does most: 8 mm less, 1118.1 worked out
    with numpy from the file, its rows averaged with the row before. The daily form finds 1125.5 of them.
    """
    serve(stand_in, hours, hours["dew"].mean(axis=1))
    plain = {day.date: day.reference_et_mm for day in year()}
    ObservedDay.objects.all().delete()
    FetchDay.objects.all().delete()
    serve_hours(stand_in, hours)
    stand_in.paths.clear()
    days = year(by_hours=True)
    assert days.count() == 365
    assert list(days.exclude(et_method="hourly asce-ewri").values_list("et_method", flat=True)) == []
    assert total(days, "reference_et_mm") == pytest.approx(1118.1, abs=1)
    apart = np.array([day.reference_et_mm - plain[day.date] for day in days])
    assert np.median(np.abs(apart)) == pytest.approx(0.17, abs=0.03)
    assert np.abs(apart).max() < 1.1
