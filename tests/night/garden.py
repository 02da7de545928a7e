"""An invented garden whose weather and watering a test can set: one site, one controller, some zones."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from fleet.models import (
    Client,
    Company,
    Controller,
    Membership,
    Policy,
    Site,
    Tariff,
    User,
    WaterSource,
    Zone,
)
from scheduling.models import Program, Setting, ZoneRun
from weather.models import ForecastDay, ObservedDay, WeatherCell
from weather.services.cells import cell_for

TIMEZONE = "America/Los_Angeles"
ON = date(2026, 7, 14)
SURVEYED = ("plant", "head", "soil", "slope_percent", "sun", "area_m2", "root_depth_mm", "uniformity")
TABLE = dict.fromkeys(SURVEYED, "table")


@dataclass
class Garden:
    """A site and what is on it."""

    company: Company
    client: Client
    site: Site
    controller: Controller
    zones: list[Zone]
    program: Program
    owner: User

    @property
    def cell(self) -> WeatherCell:
        assert self.site.cell is not None
        return self.site.cell


def zone(controller: Controller, number: int = 1, **fields: Any) -> Zone:
    usual: dict[str, Any] = {
        "name": f"Lawn {number}",
        "plant": "cool_turf",
        "head": "rotor",
        "soil": "loam",
        "slope_percent": 2,
        "sun": "full",
        "area_m2": 200.0,
        "root_depth_mm": 300.0,
        "precipitation_rate_mm_h": 12.0,
        "uniformity": 0.7,
        "basis": TABLE | {"precipitation_rate_mm_h": "table"},
    }
    return Zone.objects.create(controller=controller, number=number, **(usual | fields))


def garden(
    name: str = "Heron",
    *,
    minutes: float = 40.0,
    zones: int = 1,
    percent: int = 100,
    days: str = "mon wed fri",
    starts: tuple[str, ...] = ("03:00",),
    units: str = "metric",
    place: tuple[float, float, float] = (39.2, -121.1, 310.0),
    timezone: str = TIMEZONE,
    controller: dict[str, Any] | None = None,
    since: date = ON - timedelta(days=60),
) -> Garden:
    company = Company.objects.create(name=f"{name} Irrigation", units=units)
    client = Client.objects.create(company=company, name=f"{name} School")
    tariff = Tariff.objects.create(company=company, name="flat", price_per_m3="1.50")
    latitude, longitude, elevation = place
    cell = cell_for(latitude=latitude, longitude=longitude, elevation_m=elevation, timezone=timezone)
    site = Site.objects.create(
        client=client,
        name=f"{name} grounds",
        latitude=latitude,
        longitude=longitude,
        elevation_m=elevation,
        timezone=timezone,
        cell=cell,
        tariff=tariff,
        balance_from=since,
    )
    source = WaterSource.objects.create(site=site, name="main", flow_l_min=90)
    box = Controller.objects.create(site=site, source=source, name="Shed", **(controller or {}))
    planted = [zone(box, n + 1) for n in range(zones)]
    program = Program.objects.create(
        controller=box, letter="A", name="Lawns", days=days, starts=list(starts), effective=since
    )
    for n, one in enumerate(planted):
        ZoneRun.objects.create(program=program, zone=one, minutes=minutes, cycle=20, soak=20, order=n + 1)
    Setting.objects.create(program=program, percent=percent, effective_from=since)
    owner = User.objects.create_user(f"owner@{name.lower()}.test", "three herons at dawn")
    Membership.objects.create(user=owner, company=company, role="owner")
    return Garden(company, client, site, box, planted, program, owner)


def policy(of: Garden, **fields: Any) -> Policy:
    return Policy.objects.create(company=of.company, **fields)


def weather(
    cell: WeatherCell,
    *,
    on: date = ON,
    back: int = 60,
    ahead: int = 8,
    et_mm: float = 6.0,
    rain: dict[date, float] | None = None,
    foreseen_rain: dict[date, float] | None = None,
    low_c: dict[date, float] | None = None,
    wind: float = 1.5,
) -> None:
    """Store measured days before ``on`` and this morning's forecast, reference ET as given."""
    from common import clock

    def common(day: date) -> dict[str, Any]:
        low = (low_c or {}).get(day, 14.0)
        return {
            "date": day,
            "t_min_c": low,
            "t_max_c": max(low, 30.0),
            "wind_2m_m_s": wind,
            "reference_et_mm": et_mm,
            "et_method": "penman-monteith",
            "source": "station",
        }

    ObservedDay.objects.bulk_create(
        ObservedDay(cell=cell, rain_mm=(rain or {}).get(day, 0.0), **common(day))
        for day in clock.days(on - timedelta(days=back), on - timedelta(days=1))
    )
    foresee(cell, on=on, ahead=ahead, rain=foreseen_rain, common=common)


def foresee(
    cell: WeatherCell, *, on: date, ahead: int = 8, rain: dict[date, float] | None = None, common: Any
) -> None:
    from common import clock

    ForecastDay.objects.bulk_create(
        ForecastDay(
            cell=cell,
            issued_at=clock.moment(on, cell.timezone),
            quality="forecast",
            rain_mm=(rain or {}).get(day, 0.0),
            **common(day),
        )
        for day in clock.days(on, on + timedelta(days=ahead - 1))
    )
