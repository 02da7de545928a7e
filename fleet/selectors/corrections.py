"""The correction of a site's reference ET that holds in a night."""

from datetime import date

from fleet.models import Site, SiteCorrection


def correction_in_force(site: Site, *, night: date) -> SiteCorrection | None:
    """Return the latest begun, unless it takes an earlier one back; one query."""
    latest = site.corrections.filter(effective_from__lte=night).order_by("-effective_from").first()
    return latest if latest and latest.factor != 1.0 else None
