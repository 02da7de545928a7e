"""The last days at some sites: rain as the weather source has it, and as somebody saw it there."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from common import clock
from fleet.models import Site, SiteRain
from fleet.services.put_fact import mark_of
from fleet.services.site_rain import DAYS_BACK, SHOWN
from weather.models import ForecastDay, ObservedDay

RAIN_FROM_MM = 0.25  # a hundredth of an inch, the least a gauge shows


@dataclass(frozen=True)
class RainDay:
    """One day gone by at a site. ``source_mm`` is None where the source says nothing."""

    day: date
    source_mm: float | None
    seen: SiteRain | None

    @property
    def is_rainy(self) -> bool:
        """Tell whether the source has rain, or somebody noted something."""
        return self.seen is not None or (self.source_mm or 0.0) >= RAIN_FROM_MM

    @property
    def mark(self) -> str:
        """Return what is noted, for a form to send back."""
        return mark_of(self.seen, SHOWN)


def rain_days(sites: Iterable[Site]) -> dict[int, list[RainDay]]:
    """Return the last seven days of each site, yesterday first, in a fixed number of queries."""
    today = {site: clock.today(site.timezone) for site in sites}
    since = min(today.values(), default=date.min + timedelta(days=DAYS_BACK)) - timedelta(days=DAYS_BACK)
    source = _source_rain({site.cell_id for site in today if site.cell_id}, since=since)
    seen = {(row.site_id, row.date): row for row in SiteRain.objects.filter(site__in=today, date__gte=since)}
    return {
        site.pk: [
            RainDay(day, source.get((site.cell_id, day)), seen.get((site.pk, day)))
            for day in (on - timedelta(days=n) for n in range(1, DAYS_BACK + 1))
        ]
        for site, on in today.items()
    }


def _source_rain(cells: set[int], *, since: date) -> dict[tuple[int | None, date], float]:
    """Return rain by cell and day: observed, else as last foreseen."""
    days = {"cell__in": cells, "date__gte": since, "rain_mm__isnull": False}
    foreseen = ForecastDay.objects.filter(**days, date__lte=since + timedelta(days=DAYS_BACK + 1))
    known: dict[tuple[int | None, date], float] = {}
    for rows in (foreseen.order_by("issued_at"), ObservedDay.objects.filter(**days)):
        for cell, day, rain_mm in rows.values_list("cell_id", "date", "rain_mm"):
            known[cell, day] = float(rain_mm or 0.0)
    return known
