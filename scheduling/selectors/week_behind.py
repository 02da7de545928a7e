"""The weather of the past week at some sites, as their accounts count it."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from common import clock
from fleet.models import Site, SiteRain
from weather.models import ObservedDay

DAYS = 7


@dataclass(frozen=True)
class PastDay:
    """A day's weather; rain seen on the site counts instead of the source's."""

    date: date
    rain_mm: float | None
    et0_mm: float | None
    t_min_c: float | None
    t_max_c: float | None
    seen_on_site: bool
    source: str


@dataclass(frozen=True)
class PastWeek:
    """The days that were measured, oldest first."""

    days: list[PastDay]

    @property
    def rain_mm(self) -> float:
        """Return the rain of the measured days."""
        return sum(day.rain_mm or 0.0 for day in self.days)

    @property
    def et0_mm(self) -> float:
        """Return the reference ET of the measured days."""
        return sum(day.et0_mm or 0.0 for day in self.days)

    @property
    def source(self) -> str:
        """Return the source of the newest day."""
        return self.days[-1].source if self.days else ""


def past_week(sites: Sequence[Site]) -> dict[int, PastWeek]:
    """Return the past seven days of each site before its own today; two queries for all of them."""
    today = {site.pk: clock.today(site.timezone) for site in sites}
    since = min(today.values(), default=date.max - timedelta(days=DAYS)) - timedelta(days=DAYS)
    cells = {site.cell_id for site in sites if site.cell_id is not None}
    of_cell: dict[int, list[ObservedDay]] = defaultdict(list)
    for day in ObservedDay.objects.filter(cell__in=cells, date__gte=since).order_by("date"):
        of_cell[day.cell_id].append(day)
    seen = {
        (row.site_id, row.date): row.rain_mm
        for row in SiteRain.objects.filter(site__in=list(today), date__gte=since)
    }
    return {
        site.pk: PastWeek(
            [
                PastDay(
                    date=day.date,
                    rain_mm=seen.get((site.pk, day.date), day.rain_mm),
                    et0_mm=day.reference_et_mm,
                    t_min_c=day.t_min_c,
                    t_max_c=day.t_max_c,
                    seen_on_site=(site.pk, day.date) in seen,
                    source=day.source,
                )
                for day in (of_cell[site.cell_id] if site.cell_id is not None else [])
                if today[site.pk] - timedelta(days=DAYS) <= day.date < today[site.pk]
            ]
        )
        for site in sites
    }
