"""Rain a technician saw on a site, or didn't."""

from datetime import date, timedelta

from django.utils import timezone

from common.errors import Refused
from fleet.models import Site, SiteRain, User
from fleet.models.site_rain import MOST_MM
from fleet.selectors.people import require_enter
from fleet.services.put_fact import Put, put_fact

DAYS_BACK = 7
SHOWN = ("rain_mm", "how")


def note_rain(
    *, site: Site, by: User, on: date, day: date, gauge_mm: float | None = None, seen: str = ""
) -> Put[SiteRain]:
    """Store that it didn't rain on a day gone by (``gauge_mm`` None), or what stood in the gauge.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If the day isn't one of the last seven, or the amount no day's rain.
    MovedOn
        If somebody else noted another amount than ``seen``.
    """
    require_enter(by, site.client.company_id)
    if not on - timedelta(days=DAYS_BACK) <= day < on:
        raise Refused(f"Pick one of the last {DAYS_BACK} days, up to yesterday.", field="day")
    if gauge_mm is not None and not 0.0 <= gauge_mm <= MOST_MM:
        raise Refused("That is more than a day's rain can be.", field="gauge")
    how = SiteRain.How.SAID_DRY if gauge_mm is None else SiteRain.How.GAUGE
    return put_fact(
        SiteRain,
        key={"site": site, "date": day},
        values={"rain_mm": gauge_mm or 0.0, "how": how.value, "by": by, "at": timezone.now()},
        shown=SHOWN,
        seen=seen,
    )
