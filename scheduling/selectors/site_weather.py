"""The days of a site's weather: what was observed, and what was foreseen last."""

from datetime import date

from common import clock
from fleet.models import Site
from weather.models import ForecastDay, ObservedDay

Day = ObservedDay | ForecastDay


def weather_days(site: Site, *, first: date, last: date, on: date) -> list[Day]:
    """Return the observed days between two dates, and where there are none the ones foreseen last, by date.

    What was issued after the morning of ``on`` isn't known yet.
    """
    if site.cell_id is None:
        return []
    span = {"cell": site.cell_id, "date__gte": first, "date__lte": last}
    known = clock.known_by(on, site.timezone)
    foreseen = (
        ForecastDay.objects.filter(**span, issued_at__lte=known).filter(date__gte=on).order_by("issued_at")
    )
    days: dict[date, Day] = {day.date: day for day in foreseen}
    days |= {day.date: day for day in ObservedDay.objects.filter(**span)}
    return [days[day] for day in sorted(days)]
