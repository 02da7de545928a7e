"""What a technician has to enter, site by site, today's visits first."""

from dataclasses import dataclass
from dataclasses import field as dataclass_field
from datetime import date
from typing import Any

from fleet.models import Site, Visit, Zone
from scheduling.models import Change
from scheduling.selectors.changes import changes_for
from scheduling.selectors.rain_days import RainDay, rain_days


@dataclass
class SiteToVisit:
    """One site with what is to be entered there."""

    site: Site
    changes: list[Change] = dataclass_field(default_factory=list)
    visit: date | None = None
    zones: list[Zone] = dataclass_field(default_factory=list)
    rain: list[RainDay] = dataclass_field(default_factory=list)

    @property
    def words(self) -> str:
        """Return the site's name, for sorting."""
        return f"{self.site.client.name} {self.site.name}".casefold()


def field_sheet(user: Any, company_id: int, *, on: date) -> list[SiteToVisit]:
    """Return the sites with changes to enter or a visit today, in a fixed number of queries."""
    sites: dict[int, SiteToVisit] = {}
    changes = changes_for(user).of_company(company_id).filter(status=Change.Status.APPROVED)
    for change in changes.order_by("program__controller__name", "program__letter", "kind"):
        site = change.program.controller.site
        sites.setdefault(site.pk, SiteToVisit(site)).changes.append(change)
    visits = (
        Visit.objects.visible_to(user)
        .of_company(company_id)
        .filter(done_at=None, date__gte=on)
        .select_related("site__client__company")
        .order_by("date")
    )
    for visit in visits:
        if visit.date == on or visit.site_id in sites:
            entry = sites.setdefault(visit.site_id, SiteToVisit(visit.site))
            entry.visit = entry.visit or visit.date
    for zone in (
        Zone.objects.filter(controller__site__in=sites)
        .select_related("controller")
        .order_by("controller__name", "number")
    ):
        sites[zone.controller.site_id].zones.append(zone)
    for site_id, days in rain_days([entry.site for entry in sites.values()]).items():
        sites[site_id].rain = days
    far = date.max
    return sorted(sites.values(), key=lambda entry: (entry.visit or far, entry.words))
