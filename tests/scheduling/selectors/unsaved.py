"""Rows that aren't stored: a controller, surveyed zones, a rule. All invented."""

from datetime import date, time
from typing import Any

from fleet.models import Controller, Site, WateringRule, Zone
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.plan import Asked

NIGHT = date(2026, 7, 6)
CLOCK = NightClock(NIGHT, "America/Los_Angeles")
# Reference ET of a dry summer, an average day of each month. Invented. [mm/d]
ET = (1.0, 1.6, 2.8, 4.2, 5.6, 6.8, 7.2, 6.4, 4.9, 3.0, 1.5, 0.9)
BASIS = dict.fromkeys(("plant", "soil", "sun", "slope_percent", "uniformity", "root_depth_mm"), "table")


def controller(**fields: Any) -> Controller:
    return Controller(site=Site(name="Here", timezone=CLOCK.timezone), name="Wall", **fields)


def zone(number: int = 1, **fields: Any) -> Zone:
    usual: dict[str, Any] = {
        "name": f"Bed {number}",
        "plant": "cool_turf",
        "head": "rotor",
        "soil": "loam",
        "slope_percent": 2.0,
        "sun": "full",
        "area_m2": 180.0,
        "root_depth_mm": 200.0,
        "precipitation_rate_mm_h": 13.0,
        "uniformity": 0.7,
        "basis": dict(BASIS),
    }
    return Zone(number=number, **(usual | fields))


def spray(number: int, **fields: Any) -> Zone:
    return zone(number, **({"head": "spray", "precipitation_rate_mm_h": 40.0, "uniformity": 0.65} | fields))


def shrubs(number: int, **fields: Any) -> Zone:
    usual = {
        "plant": "shrubs",
        "head": "drip",
        "precipitation_rate_mm_h": 15.0,
        "root_depth_mm": 450.0,
        "uniformity": 0.8,
    }
    return zone(number, **(usual | fields))


def rule(**fields: Any) -> WateringRule:
    return WateringRule(name="Town", **fields)


def night_rule(**fields: Any) -> WateringRule:
    return rule(hours_from=time(18), hours_to=time(10), **fields)


def asked(*zones: Zone, of: Controller | None = None, **fields: Any) -> Asked:
    usual: dict[str, Any] = {"clock": CLOCK, "et_mm_day": ET}
    return Asked(controller=of or controller(), zones=zones, **(usual | fields))
