"""The zones of some sites as a technician meets them: probed today, corrected, broken."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from common import clock
from fleet.models import Finding, Site, SoilObservation, Zone, ZoneTrim
from fleet.services.facts import SOIL_SHOWN, TRIM_SHOWN
from fleet.services.put_fact import mark_of


@dataclass
class ZoneToSee:
    """One zone, how its soil was found today, the correction in force, and what is broken."""

    zone: Zone
    on: date
    soil: SoilObservation | None = None
    trim: ZoneTrim | None = None
    findings: list[Finding] = field(default_factory=list)

    @property
    def soil_mark(self) -> str:
        """Return what was noted today, for a form to send back."""
        return mark_of(self.soil, SOIL_SHOWN)

    @property
    def trim_mark(self) -> str:
        """Return the correction made today, for a form to send back."""
        today = self.trim is not None and self.trim.effective_from == self.on
        return mark_of(self.trim if today else None, TRIM_SHOWN)


def zones_to_see(sites: Iterable[Site]) -> dict[int, list[ZoneToSee]]:
    """Return the zones of each site by controller and number, in a fixed number of queries."""
    today = {site.pk: clock.today(site.timezone) for site in sites}
    zones = Zone.objects.filter(controller__site__in=today).select_related("controller")
    found: dict[int, list[ZoneToSee]] = defaultdict(list)
    seen: dict[int, ZoneToSee] = {}
    for zone in zones.order_by("controller__name", "number"):
        site = zone.controller.site_id
        seen[zone.pk] = ZoneToSee(zone, today[site])
        found[site].append(seen[zone.pk])
    of_zone = {"zone__controller__site__in": today}
    for soil in SoilObservation.objects.filter(**of_zone, date__in=set(today.values())):
        if soil.date == seen[soil.zone_id].on:
            seen[soil.zone_id].soil = soil
    for trim in ZoneTrim.objects.filter(**of_zone).order_by("effective_from"):
        if trim.effective_from <= seen[trim.zone_id].on:
            seen[trim.zone_id].trim = trim
    broken = Finding.objects.filter(**of_zone, status=Finding.Status.OPEN).select_related("zone")
    for finding in broken.prefetch_related("photos").order_by("found_on", "pk"):
        seen[finding.zone_id].findings.append(finding)
    return found
