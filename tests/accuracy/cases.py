"""Published cases: what is printed, how exactly, and what we compute."""

from collections.abc import Callable
from dataclasses import dataclass
from math import pi

import numpy as np

from fleet.numerics.catch_cans import distribution_uniformity
from fleet.numerics.hydraulics import flow_at_velocity
from fleet.numerics.landscape_coefficient import combined_coefficient
from fleet.numerics.precipitation import rate_from_flow
from fleet.numerics.ranges import Floats
from reports.numerics.budget import allowed_water, estimated_use
from reports.numerics.effective_rain import month_effective_rain_in, storage_factor
from scheduling.numerics.base_schedule import gross_for_net
from scheduling.numerics.gross_to_net import longest_cycle_min, run_time_multiplier
from scheduling.numerics.soil_water import readily_available_water, total_available_water
from weather.numerics import atmosphere, humidity, radiation, reference_et, sun
from weather.numerics.hourly import FAO_56, hourly_reference_et

FAO = "FAO Irrigation and Drainage Paper 56 (1998)"
SWAT = "SWAT climatologically based controllers, 8th testing protocol (2008), Table 1"
SPREVAL = "NC State University, R package spreval, reference pages"
UC = "UC Cooperative Extension and California DWR, Guide to Estimating Irrigation Water Needs"
IN, GPM, FT2 = 25.4, 3.785411784, 0.09290304
CANS = [47, 42, 45, 24, 13, 26, 33, 34, 27, 30, 40, 44, 32, 12, 12]


@dataclass(frozen=True)
class Case:
    """One printed number; ``memory`` where nobody could read the source again."""

    what: str
    unit: str
    printed: float
    within: float
    source: str
    compute: Callable[[], float]
    memory: bool = False


def _bangkok() -> float:
    wind, vapour = np.array([[2.0]]), np.array([[2.85]])
    clear = sun.extraterrestrial_radiation(13.73, 105.0)
    solar = radiation.solar_radiation_from_sunshine(
        sunshine_h=8.5, daylight_h=sun.daylight_hours(13.73, 105.0), extraterrestrial_mj_m2=clear
    )
    et, _ = reference_et.daily_reference_et(
        t_min_c=[[25.6]],
        t_max_c=[[34.8]],
        vapour_pressure_kpa=vapour,
        wind_2m_m_s=wind,
        solar_radiation_mj_m2=np.array([[float(solar)]]),
        latitude_deg=[13.73],
        elevation_m=[2.0],
        day_of_year=[[105.0]],
    )
    return float(et[0, 0])


def _in_printed_gallons(litres: Floats) -> float:
    """Return litres in gallons as the ordinance has them, which prints 0.62 gal for 1 in on 1 ft2."""
    return float(litres) / GPM * 0.62 / (IN * FT2 / GPM)


def _uccle() -> float:
    vapour = humidity.vapour_pressure_from_humidity_extremes(
        t_min_c=12.3, t_max_c=21.5, humidity_min=0.63, humidity_max=0.84
    )
    above = sun.extraterrestrial_radiation(50.8, 187.0)
    solar = radiation.solar_radiation_from_sunshine(
        sunshine_h=9.25, daylight_h=sun.daylight_hours(50.8, 187.0), extraterrestrial_mj_m2=above
    )
    et, _ = reference_et.daily_reference_et(
        t_min_c=[[12.3]],
        t_max_c=[[21.5]],
        vapour_pressure_kpa=np.array([[float(vapour)]]),
        wind_2m_m_s=np.array([[float(atmosphere.wind_at_2m(2.78, 10.0))]]),
        solar_radiation_mj_m2=np.array([[float(solar)]]),
        latitude_deg=[50.8],
        elevation_m=[100.0],
        day_of_year=[[187.0]],
    )
    return float(et[0, 0])


def _dakar_afternoon() -> float:
    return float(
        hourly_reference_et(
            t_c=[[38.0]],
            vapour_pressure_kpa=[[0.52 * 0.6108 * float(np.exp(17.27 * 38.0 / (38.0 + 237.3)))]],
            wind_2m_m_s=[[3.3]],
            solar_radiation_mj_m2=[[2.450]],
            day_of_year=[274.0],
            middle_h=[14.5],
            latitude_deg=[16.22],
            longitude_deg=[-16.25],
            utc_offset_h=[-1.0],
            elevation_m=[8.0],
            form=FAO_56,
        )[0, 0]
    )


def _storage(capacity: float, depth_in: float, share: float) -> Callable[[], float]:
    return lambda: float(readily_available_water(total_available_water(capacity, depth_in * IN), share) / IN)


CASES: list[Case] = [
    Case(
        "Air pressure at 1800 m",
        "kPa",
        81.8,
        0.05,
        f"{FAO}, example 2",
        lambda: float(atmosphere.air_pressure(1800.0)),
    ),
    Case(
        "Psychrometric constant at 1800 m",
        "kPa/degC",
        0.054,
        0.0005,
        f"{FAO}, example 2",
        lambda: float(atmosphere.psychrometric_constant(atmosphere.air_pressure(1800.0))),
    ),
    Case(
        "Mean saturation vapour pressure, 15 and 24.5 degC",
        "kPa",
        2.39,
        0.005,
        f"{FAO}, example 3",
        lambda: float(atmosphere.mean_saturation_vapour_pressure(15.0, 24.5)),
    ),
    Case(
        "Vapour pressure from a psychrometer",
        "kPa",
        1.91,
        0.005,
        f"{FAO}, example 4",
        lambda: float(
            humidity.vapour_pressure_from_psychrometer(
                dry_c=25.6, wet_c=19.5, pressure_kpa=atmosphere.air_pressure(1200.0)
            )
        ),
    ),
    Case(
        "Vapour pressure from humidity extremes",
        "kPa",
        1.70,
        0.005,
        f"{FAO}, example 5",
        lambda: float(
            humidity.vapour_pressure_from_humidity_extremes(
                t_min_c=18.0, t_max_c=25.0, humidity_min=0.54, humidity_max=0.82
            )
        ),
    ),
    Case(
        "Radiation above the air, 20 S, 3 September",
        "MJ/m2/d",
        32.2,
        0.05,
        f"{FAO}, example 8",
        lambda: float(sun.extraterrestrial_radiation(-20.0, 246.0)),
    ),
    Case(
        "Sunset hour angle, 20 S, 3 September",
        "rad",
        1.527,
        0.0005,
        f"{FAO}, example 8",
        lambda: float(sun.sunset_hour_angle(-20.0, 246.0)),
    ),
    Case(
        "Daylight hours, 20 S, 3 September",
        "h",
        11.7,
        0.05,
        f"{FAO}, example 9",
        lambda: float(sun.daylight_hours(-20.0, 246.0)),
    ),
    Case(
        "Soil heat flux, Algiers, April",
        "MJ/m2/d",
        0.33,
        0.005,
        f"{FAO}, example 13",
        lambda: float(radiation.monthly_soil_heat_flux(14.1, 18.8)),
    ),
    Case(
        "Wind at 2 m from 3.2 m/s at 10 m",
        "m/s",
        2.4,
        0.05,
        f"{FAO}, example 14",
        lambda: float(atmosphere.wind_at_2m(3.2, 10.0)),
    ),
    Case(
        "Solar radiation from temperatures, Lyon, July",
        "MJ/m2/d",
        22.3,
        0.05,
        f"{FAO}, example 15",
        lambda: float(
            radiation.solar_radiation_from_temperatures(
                t_min_c=14.8,
                t_max_c=26.6,
                extraterrestrial_mj_m2=sun.extraterrestrial_radiation(45.72, 196.0),
            )
        ),
    ),
    Case(
        "Reference ET, Bangkok, April (without soil heat)", "mm/d", 5.72, 0.06, f"{FAO}, example 17", _bangkok
    ),
    Case("Reference ET, Uccle, 6 July", "mm/d", 3.9, 0.05, f"{FAO}, example 18", _uccle),
    Case(
        "Hourly reference ET, 14 to 15 h, 1 October",
        "mm/h",
        0.63,
        0.005,
        f"{FAO}, example 19",
        _dakar_afternoon,
        memory=True,
    ),
    Case(
        "Total available water, tomato on silt",
        "mm",
        136.0,
        0.5,
        f"{FAO}, example 36",
        lambda: float(total_available_water(0.32 - 0.15, 800.0)),
        memory=True,
    ),
    Case(
        "Total available water, onion on loamy sand",
        "mm",
        36.0,
        0.5,
        f"{FAO}, example 36",
        lambda: float(total_available_water(0.15 - 0.06, 400.0)),
    ),
    Case(
        "Readily available water, onion on silt",
        "mm",
        20.0,
        0.5,
        f"{FAO}, example 36",
        lambda: float(readily_available_water(total_available_water(0.32 - 0.15, 400.0), 0.30)),
    ),
    Case(
        "Distribution uniformity of 15 cans, low quarter",
        "%",
        49.62039,
        5e-6,
        SPREVAL,
        lambda: 100 * distribution_uniformity(CANS, share=0.25),
    ),
    Case(
        "Distribution uniformity of 15 cans, low half",
        "%",
        71.58351,
        5e-6,
        SPREVAL,
        lambda: 100 * distribution_uniformity(CANS, share=0.5),
    ),
    Case(
        "Precipitation rate of 10 heads on 900 sq ft",
        "in/h",
        0.86,
        0.005,
        "Sprinkler Precipitation Rates, teaching slides",
        lambda: float(rate_from_flow((6 * 1.0 + 4 * 0.5) * GPM, 900 * FT2) / IN),
    ),
    Case("Water to apply for 3.72 in at 60 %", "in", 6.2, 0.05, UC, lambda: float(gross_for_net(3.72, 0.6))),
    Case(
        "Landscape coefficient of a new planting",
        "-",
        0.1,
        1e-9,
        UC,
        lambda: float(combined_coefficient(0.2, density=0.5, microclimate=1.0)),
    ),
    *(
        Case(
            f"Root zone working storage, zone {n}",
            "in",
            printed,
            0.006,
            SWAT,
            _storage(capacity, depth, share),
            memory=True,
        )
        for n, capacity, depth, share, printed in (
            (1, 0.17, 10.0, 0.50, 0.85),
            (2, 0.17, 8.1, 0.40, 0.55),
            (3, 0.09, 20.0, 0.50, 0.90),
            (4, 0.13, 28.0, 0.55, 2.00),
            (5, 0.18, 25.0, 0.50, 2.25),
            (6, 0.17, 9.2, 0.35, 0.55),
        )
    ),
    Case(
        "Longest cycle, zone 1",
        "min",
        12.0,
        0.05,
        SWAT,
        lambda: float(longest_cycle_min(1.6 * IN, intake_mm_h=0.35 * IN, accumulation_mm=0.25 * IN)),
        memory=True,
    ),
    Case(
        "Run time multiplier at a uniformity of 0.6",
        "-",
        1.316,
        0.0005,
        "Irrigation Association (2005)",
        lambda: float(run_time_multiplier(0.6)),
        memory=True,
    ),
    Case(
        "Flow at 5 ft/s in a 1 in schedule 40 pipe (v = 0.4085 Q / d2)",
        "gpm",
        5 * 1.029**2 / 0.4085,
        0.01,
        "fire-protection reference",
        lambda: float(flow_at_velocity(1.029 * IN, velocity_m_s=5 * 0.3048) / GPM),
    ),
    Case("Latitude of Bangkok", "rad", 0.240, 0.0005, f"{FAO}, example 7", lambda: (13 + 44 / 60) * pi / 180),
    Case(
        "Water allowed at Fresno, 50,000 ft2, factor 0.7",
        "gal/yr",
        1_108_870.0,
        0.5,
        "23 CCR 492.4 (2009 text), Colton CA ordinance O-008-14",
        lambda: _in_printed_gallons(
            allowed_water(51.1 * IN, area_m2=50_000.0 * FT2, factor=0.7),
        ),
    ),
    Case(
        "Water expected in a hydrozone, worksheet of the 2015 form",
        "gal/yr",
        8626.38,
        5.0,
        "a completed worksheet of 23 CCR 492.4 (2015), which rounds 0.2 / 0.81 to 0.247",
        lambda: _in_printed_gallons(
            estimated_use(43.0 * IN, plant_factor=0.2, efficiency=0.81, area_m2=1310.0 * FT2)
        ),
    ),
    Case(
        "Storage factor of effective rain, 3 in",
        "-",
        1.000674,
        1e-6,
        "National Engineering Handbook part 623, eq. 2-85",
        lambda: float(storage_factor(3.0)),
    ),
    Case(
        "Effective rain of a month, 1 in, ET 2 in, 3 in of storage",
        "in",
        0.66,
        0.005,
        "SCS Technical Release 21, table",
        lambda: float(month_effective_rain_in(1.0, 2.0, storage_in=3.0)),
        memory=True,
    ),
]
