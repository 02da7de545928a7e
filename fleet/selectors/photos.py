"""Photos of tests and findings, for the pages and endpoints that show them."""

from typing import Any

from fleet.models import Finding, Photo, Site
from fleet.tenancy import TenantQuerySet

AT_SITE = 24


def photos_for(user: Any) -> TenantQuerySet[Photo]:
    """Return the photos a person may see, with what their words need."""
    return Photo.objects.visible_to(user).select_related(
        "zone__controller__site__client__company", "test__round", "finding", "by"
    )


def photos_at(user: Any, site: Site) -> list[Photo]:
    """Return the newest photos taken at a site, the newest first."""
    rows = photos_for(user).filter(zone__controller__site=site)
    return list(rows.order_by("-at", "-id")[:AT_SITE])


def seen_with(user: Any, finding: Finding) -> list[Photo]:
    """Return the photos of the tests of a finding's zone on the day it was found."""
    rows = photos_for(user).filter(test__zone=finding.zone_id, test__date=finding.found_on)
    return list(rows)
