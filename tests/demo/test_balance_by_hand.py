"""The demo's soil water counted again from its rows alone, in plain Python, with tables written out here.

Soils: Irrigation Association (2005), inches an hour, inches, inches an inch, share. Turf: University of
California, Table 1. Other plants: ANSI/ASABE S623 and the sources in fleet/numerics/plants.py. Balance:
FAO-56 eqs. 84 to 88.
"""

import math
from datetime import date, timedelta
from typing import Any

import pytest

from fleet.models import Policy, Zone
from scheduling.models import Program
from scheduling.selectors.season_load import load_season
from weather.models import ObservedDay

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # long, and as good on one database
ON = date(2026, 7, 14)
DAY = timedelta(days=1)
IN = 25.4
INTAKE = {
    "clay": 0.10,
    "silty_clay": 0.15,
    "clay_loam": 0.20,
    "loam": 0.35,
    "sandy_loam": 0.40,
    "loamy_sand": 0.50,
    "sand": 0.60,
}
POND = {
    "clay": (0.20, 0.15, 0.10, 0.10),
    "silty_clay": (0.23, 0.19, 0.16, 0.13),
    "clay_loam": (0.26, 0.22, 0.18, 0.15),
    "loam": (0.30, 0.25, 0.21, 0.17),
    "sandy_loam": (0.33, 0.29, 0.24, 0.20),
    "loamy_sand": (0.36, 0.30, 0.26, 0.22),
    "sand": (0.40, 0.35, 0.30, 0.25),
}
HOLDS = {
    "clay": 0.17,
    "silty_clay": 0.17,
    "clay_loam": 0.18,
    "loam": 0.17,
    "sandy_loam": 0.12,
    "loamy_sand": 0.08,
    "sand": 0.06,
}
ALLOWED = {
    "clay": 0.3,
    "silty_clay": 0.4,
    "clay_loam": 0.4,
    "loam": 0.5,
    "sandy_loam": 0.5,
    "loamy_sand": 0.5,
    "sand": 0.6,
}
COOL = (0.61, 0.64, 0.75, 1.04, 0.95, 0.88, 0.94, 0.86, 0.74, 0.75, 0.69, 0.60)
WARM = (0.61, 0.54, 0.76, 0.72, 0.79, 0.68, 0.71, 0.71, 0.62, 0.54, 0.58, 0.55)
NEEDS = {
    "cool_turf": COOL,
    "warm_turf": WARM,
    "shrubs": (0.5,) * 12,
    "trees": (0.5,) * 12,
    "ground_cover": (0.5,) * 12,
    "flowers": (0.8,) * 12,
    "vegetables": (0.8,) * 12,
    "native": (0.3,) * 12,
}
SUN = {"full": 1.0, "part_shade": 0.85, "shade": 0.7}
WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
OVERHEAD = {"spray", "rotor", "impact", "rotary_nozzle", "micro_spray"}


def net_of_a_start(zone: Zone, minutes: float, run: Any, margin: float) -> float:
    rate = zone.precipitation_rate_mm_h or 60 * zone.flow_l_min / zone.area_m2
    measured = zone.basis.get("precipitation_rate_mm_h") == "measured"
    ground = 0.95 if zone.head in OVERHEAD and not measured else 1.0
    usable = 1 / (1 + margin * (1 / (0.4 + 0.6 * zone.uniformity) - 1))
    slope = math.ceil(zone.slope_percent)
    pond_full = POND[zone.soil][sum(slope > top for top in (3, 6, 12))] * IN
    intake = INTAKE[zone.soil] * IN
    pond = landed = lost = 0.0
    while minutes > 1e-9:
        cycle = min(minutes, run.cycle or minutes)
        minutes -= cycle
        wets = cycle if cycle >= 3 else 0.0
        landed += wets * rate / 60
        pond = max(0.0, pond + (ground * rate - intake) * wets / 60)
        lost += max(0.0, pond - pond_full)
        pond = max(0.0, min(pond, pond_full) - intake * (run.soak or 0) / 60)
    return usable * (ground * landed - lost)


def waters(program: Program, day: date) -> bool:
    if program.days in ("odd", "even"):
        return day.day % 2 == (program.days == "odd")
    return program.days == "daily" or WEEK[day.weekday()] in program.days.split()


def water_of_a_day(zone: Zone, run: Any, day: date, sky: dict[date, ObservedDay], margin: float) -> float:
    program, night = run.program, day - DAY
    if program.effective > night or any(
        s.effective_from <= night <= s.effective_to for s in program.skips.all()
    ):
        return 0.0
    if zone.controller.rain_sensor and night in sky and sky[night].rain_mm >= 6:
        return 0.0
    if zone.controller.freeze_sensor and sky[day].t_min_c < 3:
        return 0.0
    percent = 100
    for setting in sorted(program.settings.all(), key=lambda s: s.effective_from):
        percent = setting.percent if setting.effective_from <= night else percent
    starts = sum(waters(program, night if start >= "12:00" else day) for start in program.starts)
    step = zone.controller.minute_step
    minutes = math.floor(run.minutes * percent / 100 / step + 0.5 + 1e-9) * step
    return starts * net_of_a_start(zone, minutes, run, margin)


def depletion_by_hand(zone: Zone, margin: float) -> float:
    site = zone.controller.site
    sky = {row.date: row for row in ObservedDay.objects.filter(cell=site.cell_id, date__lt=ON)}
    taw = HOLDS[zone.soil] * zone.root_depth_mm * zone.wetted_share
    raw = ALLOWED[zone.soil] * taw
    seen = {row.date: row.depletion_share for row in zone.soil_observations.all()}
    trims = sorted((row.effective_from, row.factor) for row in zone.trims.all())
    runs = list(zone.runs.select_related("program").prefetch_related("program__settings", "program__skips"))
    ends = []
    for missing in (0.0, raw):
        day = site.balance_from
        while day < ON:
            missing = seen[day] * taw if day in seen else missing
            missing = max(0.0, missing - sum(water_of_a_day(zone, run, day, sky, margin) for run in runs))
            missing = max(0.0, missing - 0.8 * sky[day].rain_mm)
            trim = next((factor for since, factor in reversed(trims) if since <= day), 1.0)
            et = sky[day].reference_et_mm * NEEDS[zone.plant][day.month - 1] * SUN[zone.sun] * trim
            missing += min(min(1.0, max(0.0, (taw - missing) / (taw - raw))) * et, taw - missing)
            day += DAY
        ends.append(missing)
    return max(ends)


def margin_of(zone: Zone) -> float:
    site = zone.controller.site
    rows = Policy.objects.filter(company=site.client.company, uniformity_margin__isnull=False)
    own = [row.uniformity_margin for row in rows if row.client_id == site.client_id]
    general = [row.uniformity_margin for row in rows if row.client_id is None]
    return next(iter(own + general), 1.0)


@pytest.mark.parametrize("kind", ["trims", "soil_observations", "runs", "drip", "spray", "rotor", "bubbler"])
def test_the_demos_soil_water_follows_from_its_rows(demo: Any, kind: str) -> None:
    zones = Zone.objects.exclude(controller__site__season="closed").exclude(soil="").exclude(area_m2=None)
    zones = zones.select_related("controller__site__client__company").order_by("pk")
    if kind in ("trims", "soil_observations"):
        some = list(zones.filter(**{f"{kind}__isnull": False}).distinct())
    elif kind == "runs":
        some = [zone for zone in zones if zone.runs.count() > 1]
    else:
        some = list(zones.filter(head=kind, controller__rain_sensor=kind == "rotor"))
    checked = 0
    for zone in some[:40:10]:
        season = load_season([zone.controller.site_id], on=ON, timezone=zone.controller.site.timezone)
        if zone.pk in season.field.missing or (season.field.weather.kind[: season.field.today] != 0).any():
            continue
        ours = season.balance.depletion_mm[season.field.index_of_zone[zone.pk]]
        assert ours == pytest.approx(depletion_by_hand(zone, margin_of(zone)), abs=1e-9)
        checked += 1
    assert checked
