"""Weather and zones from files: what is missing is filled in or named, and nothing wrong is taken."""

from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np
import pvlib
import pytest

from common.errors import Refused
from scheduling.selectors.replay.hours_file import read_hours
from scheduling.selectors.replay.weather_file import read_weather
from scheduling.selectors.replay.zones_file import read_zones
from tests.scheduling.selectors.replay.stations import ELEVATION, HEAD, LATITUDE, greensboro
from weather.numerics.atmosphere import wind_at_2m
from weather.numerics.humidity import vapour_pressure_from_dew_point

TMY3 = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
ZONES = (
    "number,name,plant,head,soil,sun,slope_percent,area_m2,root_depth_mm,precipitation_rate_mm_h,uniformity"
)
LAWN = "1,Lawn,cool_turf,spray,loam,full,2,120,200,40,0.65"


def weather(*lines):
    return read_weather([HEAD, *lines], latitude_deg=LATITUDE, elevation_m=ELEVATION)


def zones(*lines, head=ZONES):
    return read_zones([head, *lines], southern=False)


def test_a_year_is_read_as_1117_mm_of_reference_et():
    climate, filled_in = read_weather(greensboro(), latitude_deg=LATITUDE, elevation_m=ELEVATION)
    assert climate.et_mm.sum() == pytest.approx(1117, abs=1)
    assert climate.rain_mm.sum() == pytest.approx(834.5, abs=0.1)
    assert (climate.first, climate.last) == (date(2023, 1, 1), date(2023, 12, 31))
    assert filled_in == []


def test_temperatures_alone_give_hargreaves_samani_and_say_so():
    climate, filled_in = weather("2026-05-01,9,24,,,,", "2026-05-02,10,26,,,,1.5")
    assert np.isfinite(climate.et_mm).all()
    assert climate.rain_mm.tolist() == [0.0, 1.5]
    assert filled_in == [
        "Reference ET of 2 days is hargreaves-samani.",
        "Rain of 1 days is unknown and counted as none.",
    ]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("2026-05-02,30,20,1,2,20,0", "line 3: t_min_c 30 is above t_max_c 20"),
        ("2026-05-04,9,20,1,2,20,0", "line 3: 2026-05-04 follows 2026-05-01, 2 days are missing"),
        ("2026-05-02,9,20,1,2,20,0,7", "line 3: 8 cells in 7 columns"),
        ("2026-05-01,9,20,1,2,20,0", "line 3: 2026-05-01 doesn't follow"),
        ("2.5.2026,9,20,1,2,20,0", "line 3: '2.5.2026' is no date"),
        ("2026-05-02,,20,1,2,20,0", "line 3: t_min_c is empty"),
        ("2026-05-02,9,20,1,2,20,a lot", "line 3: rain_mm 'a lot' is no number"),
        ("2026-05-02,9,20,1,2,20,-1", "line 3: rain_mm is -1"),
        ("2026-05-02,48,75,1,2,20,0", "line 3: t_max_c is 75"),
        ("2026-05-02,9,20,1,2,nan,0", "line 3: solar_radiation_mj_m2 is nan"),
    ],
)
def test_a_line_that_cannot_be_is_named(line, told):
    with pytest.raises(Refused, match=told.replace("(", r"\(")):
        weather("2026-05-01,9,20,1,2,20,0", line)


def test_a_missing_column_and_an_empty_file_are_named():
    with pytest.raises(Refused, match="no column t_max_c"):
        read_weather(["date,t_min_c", "2026-05-01,9"], latitude_deg=LATITUDE, elevation_m=ELEVATION)
    with pytest.raises(Refused, match="no days"):
        weather()
    with pytest.raises(Refused, match="separated by commas"):
        read_weather([HEAD.replace(",", ";")], latitude_deg=LATITUDE, elevation_m=ELEVATION)
    with pytest.raises(Refused, match="rain_mm twice"):
        read_weather([f"{HEAD},rain_mm"], latitude_deg=LATITUDE, elevation_m=ELEVATION)


def hours(*, gap: int | None = None, offset: str = ""):
    """Greensboro's year by the hour, from the same file as its days."""
    table, station = pvlib.iotools.read_tmy3(TMY3, map_variables=True)
    vapour = vapour_pressure_from_dew_point(table["temp_dew"].to_numpy(dtype=float))
    wind = wind_at_2m(table["wind_speed"].to_numpy(dtype=float), 10.0)
    told = ["time,t_c,vapour_pressure_kpa,wind_2m_m_s,solar_radiation_mj_m2,rain_mm"]
    for n in range(len(table)):
        at = datetime(2023, 1, 1) + timedelta(hours=n)
        sun = 0.0036 * float(table["ghi"].iloc[n])
        if n != gap:
            t = float(table["temp_air"].iloc[n])
            told.append(f"{at.isoformat()}{offset},{t},{vapour[n]:.5f},{wind[n]:.4f},{sun:.5f},0")
    return read_hours(
        told,
        latitude_deg=station["latitude"],
        longitude_deg=station["longitude"],
        elevation_m=station["altitude"],
    )


@pytest.mark.parametrize("offset", ["", "-05:00"])
def test_hours_give_the_hourly_form_summed_by_days(offset):
    """1126 mm by the hour, ASCE-EWRI, where the daily form gives 1117."""
    climate, told = hours(offset=offset)
    assert climate.et_mm.sum() == pytest.approx(1126, abs=2)
    assert told == ["Reference ET of 365 days is hourly, ASCE-EWRI."]


def test_a_day_that_lacks_an_hour_takes_the_daily_form_and_says_so():
    whole, _ = hours()
    lacking, told = hours(gap=190 * 24 + 3)
    assert told[1] == "Reference ET of 1 days that lack hours is daily."
    assert np.flatnonzero(whole.et_mm != lacking.et_mm).tolist() == [190]
    assert lacking.et_mm[190] == pytest.approx(whole.et_mm[190], rel=0.15)


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("2023-01-01T01:30,5,0.6,2,0,0", "isn't the beginning of an hour"),
        ("2023-01-01T00:00,5,0.6,2,0,0", "doesn't follow"),
        ("yesterday,5,0.6,2,0,0", "is no time like"),
        ("2023-01-01T01:00,5,0.6,2,30,0", "solar_radiation_mj_m2 is 30"),
        ("2023-01-01T01:00,5,0.6,2,0,0", "2023-01-01 has 2 hours"),
        ("2023-01-01T01:00-05:00,5,0.6,2,0,0", "line 3: .* has another offset than the first hour"),
    ],
)
def test_an_hour_that_cannot_be_is_named(line, told):
    head = "time,t_c,vapour_pressure_kpa,wind_2m_m_s,solar_radiation_mj_m2,rain_mm"
    with pytest.raises(Refused, match=told):
        read_hours(
            [head, "2023-01-01T00:00,5,0.6,2,0,0", line],
            latitude_deg=36.1,
            longitude_deg=-80.0,
            elevation_m=273.0,
        )


def test_a_zone_is_read_by_the_names_of_the_api():
    plots = zones(LAWN, "2,Beds,shrubs,drip,clay,full,0,60,,10,0.9")
    assert plots.names == ["1 Lawn", "2 Beds"]
    assert plots.taw_mm[0] == pytest.approx(0.17 * 200)
    assert plots.application.rate_mm_h.tolist() == [40.0, 10.0]
    assert plots.taw_mm[1] == pytest.approx(0.17 * 457)  # the plant's usual root depth


@pytest.mark.parametrize(
    ("line", "told"),
    [
        (LAWN.replace("cool_turf", "moss"), "plant .moss. is unknown, accepted are cool_turf"),
        (LAWN.replace("1,Lawn", "1.5,Lawn"), "no whole number"),
        (LAWN.replace("0.65", "65"), "uniformity is 65"),
        (LAWN.replace("120", "-5"), "area_m2 is -5"),
        (LAWN.replace(",40,", ",,"), "precipitation rate"),
        (LAWN.replace(",200,", ",deep,"), "root_depth_mm 'deep' is no number"),
    ],
)
def test_a_zone_that_cannot_be_is_named(line, told):
    with pytest.raises(Refused, match=f"line 2: .*{told}"):
        zones(line)


def test_two_zones_of_one_number_are_refused():
    with pytest.raises(Refused, match="line 3: number 1 is that of line 2"):
        zones(LAWN, LAWN)


def test_unknown_columns_and_no_zones_are_refused():
    with pytest.raises(Refused, match="colour"):
        zones(LAWN, head=ZONES + ",colour")
    with pytest.raises(Refused, match="0 zones"):
        zones()
