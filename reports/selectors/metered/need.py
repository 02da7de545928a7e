"""What the plants behind meters needed beyond rain over any days, from the weather that came."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fleet.models import Meter, SiteRain, Zone
from fleet.numerics.landscape_coefficient import landscape_coefficient
from fleet.numerics.plants import PLANTS
from fleet.numerics.sun import SUNS
from scheduling.season.field import RAIN_SHARE
from weather.models import ObservedDay

Floats = NDArray[np.float64]

KNOWN_SHARE = 0.9  # of a bill's days whose weather must be known; the rest take their mean


@dataclass(frozen=True)
class Need:
    """The weather of a meter's place by day, NaN where unknown, and the plants behind it."""

    begin: date
    et_mm: Floats  # (days,) reference ET
    rain_mm: Floats  # (days,)
    kl: Floats  # (12, zones) landscape coefficients
    area_m2: Floats  # (zones,)
    lacking: list[str]  # zones left out, and why

    def over(self, first: date, last: date) -> float | None:
        """Return the net need over some days, both included; None where too little weather is known. [L]

        ``sum of areas x max(0, ETo Kl - 0.8 P)`` over the days as a whole: rain of one week serves the next.
        Trims and corrections aren't in it: a baseline wants the same yardstick before and after.
        """
        rows = slice((first - self.begin).days, (last - self.begin).days + 1)
        et, rain = self.et_mm[rows], self.rain_mm[rows]
        known = np.isfinite(et) & np.isfinite(rain)
        if rows.start < 0 or et.size < (last - first).days + 1 or known.sum() < KNOWN_SHARE * et.size:
            return None
        months = np.array([date.fromordinal(first.toordinal() + n).month - 1 for n in range(et.size)])
        filled = np.where(known, et, et[known].mean())
        fallen = float(np.where(known, rain, rain[known].mean()).sum()) * RAIN_SHARE
        loss = (filled[:, np.newaxis] * self.kl[months]).sum(axis=0)
        return float((np.maximum(loss - fallen, 0.0) * self.area_m2).sum())


def needs_of(meters: Sequence[Meter], *, first: date, last: date) -> dict[int, Need]:
    """Return the need behind each meter from ``first`` to ``last``; as many queries for many as for one.

    ``meters`` come with site and its cell.
    """
    zones = zones_behind(meters)
    sky = _sky(meters, first=first, last=last)
    return {meter.pk: _need(meter, zones[meter.pk], sky[meter.site_id], first) for meter in meters}


def zones_behind(meters: Sequence[Meter]) -> dict[int, list[Zone]]:
    """Return the zones each meter serves: those named, else those on its source, else all of its site."""
    named: dict[int, set[int]] = defaultdict(set)
    through = Meter.zones.through.objects.filter(meter__in=[meter.pk for meter in meters])
    for meter_id, zone_id in through.values_list("meter_id", "zone_id"):
        named[meter_id].add(zone_id)
    of_site: dict[int, list[Zone]] = defaultdict(list)
    zones = Zone.objects.filter(controller__site__in={meter.site_id for meter in meters})
    for zone in zones.select_related("controller").order_by("controller", "number"):
        of_site[zone.controller.site_id].append(zone)
    return {
        meter.pk: [
            zone
            for zone in of_site[meter.site_id]
            if (
                zone.pk in named[meter.pk]
                if named[meter.pk]
                else meter.source_id is None or zone.controller.source_id == meter.source_id
            )
        ]
        for meter in meters
    }


def _sky(meters: Sequence[Meter], *, first: date, last: date) -> dict[int, tuple[Floats, Floats]]:
    """Return reference ET and rain of each site by day; rain somebody saw there before the cell's."""
    days = max((last - first).days + 1, 0)
    sites = {meter.site.pk: meter.site for meter in meters}
    cells = {site.cell_id for site in sites.values() if site.cell_id is not None}
    of_cell = {cell: (np.full(days, np.nan), np.full(days, np.nan)) for cell in cells}
    rows = ObservedDay.objects.filter(cell__in=cells, date__gte=first, date__lte=last).order_by()
    for cell, day, et, rain in rows.values_list("cell_id", "date", "reference_et_mm", "rain_mm"):
        place = (day - first).days
        of_cell[cell][0][place] = np.nan if et is None else et
        of_cell[cell][1][place] = np.nan if rain is None else rain
    unknown = np.full(days, np.nan)
    found = {
        pk: of_cell[site.cell_id] if site.cell_id is not None else (unknown, unknown)
        for pk, site in sites.items()
    }
    seen = SiteRain.objects.filter(site__in=sites, date__gte=first, date__lte=last)
    for site_id, day, rain_mm in seen.values_list("site_id", "date", "rain_mm"):
        own = found[site_id][1].copy()
        own[(day - first).days] = rain_mm
        found[site_id] = found[site_id][0], own
    return found


def _need(meter: Meter, zones: Sequence[Zone], sky: tuple[Floats, Floats], first: date) -> Need:
    whole = [z for z in zones if z.plant in PLANTS and z.sun in SUNS and z.area_m2]
    lacking = [f"zone {z.number}: plant, sun or area isn't known" for z in zones if z not in whole]
    kl = np.zeros((12, 0))
    if whole:
        kl = landscape_coefficient(
            [z.plant for z in whole],
            microclimate=np.array([SUNS[z.sun].microclimate.value for z in whole], dtype=np.float64),
            southern=np.full(len(whole), meter.site.latitude < 0),
        )
    area = np.array([z.area_m2 for z in whole], dtype=np.float64)
    return Need(first, sky[0], sky[1], np.asarray(kl), area, lacking)
