"""Rows the pages are tried with, all invented: many changes, and the inputs of one decision."""

from datetime import timedelta
from typing import Any

from fleet.models import Client, Company, Controller, Zone
from scheduling.models import Change, ZoneRun
from tests.cast import TODAY, a_change, a_program, a_site, a_skip, a_zone

HORIZON = 6


def a_place(
    company: Company, client: str = "Heron School", site: str = "East lot", **fields: Any
) -> Controller:
    """Create a client with one site and one controller."""
    of_client, _ = Client.objects.get_or_create(company=company, name=client)
    return Controller.objects.create(site=a_site(of_client, site), name=f"Box of {site}", **fields)


def changes_at(controller: Controller, count: int, **fields: Any) -> list[Change]:
    """Create so many pending changes, each for a program of its own with one zone."""
    made = []
    for n in range(count):
        program = a_program(controller, letter=f"{n:02d}")
        zone = a_zone(controller, number=n + 1, plant="cool_turf", head="spray")
        ZoneRun.objects.create(program=program, zone=zone, minutes=10)
        made.append(a_change(program, **{"deciding_zone": zone, **fields}))
    return made


def a_mixed_week(company: Company, *, clients: int) -> list[Change]:
    """Create clients with one change of every sort each."""
    made: list[Change] = []
    for n in range(clients):
        box = a_place(
            company, client=f"Client {n:03d}", site=f"Site {n:03d}", delivery="on_site" if n % 2 else "office"
        )
        made += changes_at(box, 2, risk_keep="zone 1 dry from Wed", risk_keep_level=2)
        skipped = a_program(box, letter="S")
        made.append(a_skip(skipped))
        made.append(a_change(a_program(box, letter="D"), status="declined", decided_at="2026-07-05T15:00Z"))
    return made


def inputs_of(zone: Zone, **more: Any) -> dict[str, Any]:
    """Return what a percent was decided from: 6 mm a day go, every second morning is watered."""
    days = [TODAY + timedelta(days=n) for n in range(HORIZON)]
    unit = {
        "zone": zone.pk,
        "number": zone.number,
        "name": zone.name,
        "plant": "cool_turf",
        "soil": "loam",
        "head": "spray",
        "sun": "full",
        "area_m2": 200.0,
        "kl": 0.9,
        "trim": 1.0,
        "start_mm": 10.0,
        "start_settled": True,
        "taw_mm": 40.0,
        "raw_mm": 20.0,
        "et_mm": [6.0] * HORIZON,
        "fixed_mm": [0.0] * HORIZON,
        "uniformity": 0.6,
        "ground_share": 0.95,
        "usable": 0.76,
        "rate_mm_h": 38.0,
        "intake_mm_h": 8.9,
        "surface_mm": 6.35,
        "assumed": ["uniformity"],
        "runs": [
            {
                "program": "A",
                "minutes": 22.0,
                "cycle": 11.0,
                "soak": 40.0,
                "starts": [0, 1, 0, 1, 0, 1],
                "net_mm": [8.0, 10.0, 12.0],
                "gross_mm": [11.0, 13.9, 16.7],
                "kept_net_mm": 12.0,
                "kept_gross_mm": 16.7,
                "minutes_at": [18.0, 22.0, 26.0],
            }
        ],
    }
    return {
        "version": 1,
        "on": TODAY.isoformat(),
        "timezone": "America/Los_Angeles",
        "percents": [80, 100, 120],
        "stress": [0.2, 0.01, 0.008],
        "allowed": [True, True, False],
        "least": 0.008,
        "tolerance": 0.005,
        "current": 120,
        "proposed": 100,
        "margin": 0.9,
        "first_day": 1,
        "last_day": HORIZON - 1,
        "rain_share": 0.8,
        "rain_credit": 0.7,
        "uniformity_margin": 1.0,
        "days": [
            {
                "date": day.isoformat(),
                "et0_mm": 6.7,
                "rain_mm": 5.0 if n == 2 else 0.0,
                "rain_effective_mm": 2.8 if n == 2 else 0.0,
                "kind": "forecast",
            }
            for n, day in enumerate(days)
        ],
        "units": [unit],
        "deciding": zone.pk,
        "percent_without_deciding": 80,
        "trace": {"keep": [16.0, 10.0, 13.2, 7.2, 13.2, 7.2], "change": [16.0, 12.0, 15.2, 11.2, 17.2, 13.2]},
        "night": {"allowed_min": 540, "keep_min": 210, "change_min": 180},
        "weather": {
            "source": "invented",
            "observed_through": (TODAY - timedelta(days=1)).isoformat(),
            "fallback_days": 0,
            "et_method": "penman-monteith",
        },
        "assumed": [],
        **more,
    }
