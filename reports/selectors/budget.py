"""A site's water budget: what a landscape of its size would be allowed, what its zones are to take.

For context beside its use. It is neither a permit nor a certified calculation: an ordinance goes by its own
forms, areas and published ET.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from common import clock
from fleet.models import Controller, Site, WaterSource, Zone
from fleet.numerics.heads import HEADS
from fleet.numerics.plants import PLANTS
from reports.numerics.budget import DRIP_EFFICIENCY, OVERHEAD_EFFICIENCY, allowed_water, estimated_use
from weather.models import WeatherCell
from weather.season import Kind, weather_window

Floats = NDArray[np.float64]
FOOD = "vegetables"


@dataclass(frozen=True)
class Budget:
    """A site's budget of some days, both included; None where no zone has an area or no ET is known. [L]

    ``expected_l`` is what zones with plants, heads and area are expected to take; ``usual_days`` of the days
    have the ET that is usual or foreseen instead of an observed one.
    """

    first: date
    last: date
    factor: float
    allowed_l: float | None
    expected_l: float | None
    et_mm: float | None
    area_m2: float
    special_m2: float
    usual_days: int
    left_out: list[str]

    def share(self, used_l: float | None) -> float | None:
        """Return use as a share of the budget. [-]"""
        return used_l / self.allowed_l if self.allowed_l and used_l is not None else None


def site_budget(site: Site, *, first: date, last: date, on: date) -> Budget:
    """Return the budget of one site; see ``budgets_of``."""
    return budgets_of([site], first=first, last=last, on=on)[site.pk]


def budgets_of(sites: Sequence[Site], *, first: date, last: date, on: date) -> dict[int, Budget]:
    """Return each site's budget from ``first`` to ``last``; a fixed number of queries a timezone.

    Days before ``on`` go by the stored ET, days ahead by the forecast, then by what is usual for the month.
    ``sites`` come with cell and client's company.
    """
    zones: dict[int, list[Zone]] = {site.pk: [] for site in sites}
    rows = Zone.objects.filter(controller__site__in=zones).select_related("controller__source")
    for zone in rows.order_by("controller", "number"):
        zones[zone.controller.site_id].append(zone)
    found: dict[int, Budget] = {}
    for timezone in sorted({site.timezone for site in sites}):
        here = [site for site in sites if site.timezone == timezone]
        et, usual = _et_by_cell([s.cell for s in here if s.cell], first, last, on, timezone)
        for site in here:
            key = site.cell_id or 0
            found[site.pk] = _budget(site, zones[site.pk], first, last, et.get(key), usual.get(key, 0))
    return found


def reference_et(site: Site, *, first: date, last: date) -> Floats:
    """Return the reference ET of each day at a site as known today, NaN where nothing is. [mm/d]"""
    on = clock.today(site.timezone)
    if site.cell is None:
        return np.full((last - first).days + 1, np.nan)
    return _window_et([site.cell], first, last, on, site.timezone)[0][:, 0]


def area_of(site: Site) -> float:
    """Return the watered area of a site. [m2]"""
    areas = Zone.objects.filter(controller__site=site, area_m2__isnull=False).values_list(
        "area_m2", flat=True
    )
    return float(sum(area or 0.0 for area in areas))


def is_special(zone: Zone, controller: Controller) -> bool:
    """Tell whether a zone counts in full: food is grown there, or its water is reclaimed (from memory)."""
    source = controller.source
    return zone.plant == FOOD or (source is not None and source.kind == WaterSource.Kind.RECLAIMED)


def _budget(
    site: Site, zones: Iterable[Zone], first: date, last: date, et_mm: float | None, usual: int
) -> Budget:
    sized = [zone for zone in zones if zone.area_m2]
    special = [is_special(zone, zone.controller) for zone in sized]
    area = np.array([zone.area_m2 for zone in sized], dtype=np.float64)
    special_m2 = float(area[np.array(special, dtype=bool)].sum()) if sized else 0.0
    factor = site.client.company.budget_factor
    told = et_mm is not None and bool(sized)
    allowed = (
        float(allowed_water(et_mm or 0.0, area_m2=area.sum(), factor=factor, special_m2=special_m2))
        if told
        else None
    )
    return Budget(
        first=first,
        last=last,
        factor=factor,
        allowed_l=allowed,
        expected_l=_expected(et_mm or 0.0, sized, special) if told else None,
        et_mm=et_mm,
        area_m2=float(area.sum()),
        special_m2=special_m2,
        usual_days=usual,
        left_out=[f"zone {zone.number}: no area" for zone in zones if not zone.area_m2],
    )


def _expected(et_mm: float, zones: list[Zone], special: list[bool]) -> float | None:
    """Return what the zones are expected to take; None where plants or head of one aren't known."""
    if any(zone.plant not in PLANTS or zone.head not in HEADS for zone in zones):
        return None
    plants = [min(float(np.mean(PLANTS[zone.plant].coefficient.value)), 1.0) for zone in zones]
    overhead = [OVERHEAD_EFFICIENCY if HEADS[zone.head].overhead else DRIP_EFFICIENCY for zone in zones]
    full = np.array(special, dtype=bool)
    litres = estimated_use(
        et_mm,
        plant_factor=np.where(full, 1.0, plants),
        efficiency=np.where(full, 1.0, overhead),
        area_m2=np.array([zone.area_m2 for zone in zones], dtype=np.float64),
    )
    return float(litres.sum())


def _et_by_cell(
    cells: Sequence[WeatherCell], first: date, last: date, on: date, timezone: str
) -> tuple[dict[int, float | None], dict[int, int]]:
    own = list({cell.pk: cell for cell in cells}.values())
    if not own:
        return {}, {}
    et, kinds = _window_et(own, first, last, on, timezone)
    sums = et.sum(axis=0)
    usual = (kinds != Kind.OBSERVED).sum(axis=0)
    return (
        {c.pk: float(total) if np.isfinite(total) else None for c, total in zip(own, sums, strict=True)},
        {c.pk: int(days) for c, days in zip(own, usual, strict=True)},
    )


def _window_et(
    cells: Sequence[WeatherCell], first: date, last: date, on: date, timezone: str
) -> tuple[Floats, NDArray[np.int8]]:
    window = weather_window(
        cells=cells,
        first=first,
        on=min(max(on, first), last + timedelta(days=1)),
        last=last,
        known_by=clock.known_by(on, timezone),
    )
    return window.reference_et_mm, window.kind
