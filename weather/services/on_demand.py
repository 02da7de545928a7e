"""The weather of one place when somebody waits for it: its last year, and what its months usually bring."""

from datetime import timedelta
from typing import Final

from common import clock
from weather.models import MonthlyNormal, WeatherCell
from weather.services.fetch import fetch_due
from weather.services.normals import rebuild_normals
from weather.services.reports import FetchReport

DAYS: Final = 365
MONTHS: Final = 12


def fetch_usual_year(cell: WeatherCell) -> FetchReport:
    """Fetch the last year of a place and rebuild its monthly normals; asked again, it is found done."""
    on = clock.today(cell.timezone)
    if MonthlyNormal.objects.filter(cell=cell, reference_et_mm__isnull=False).count() == MONTHS:
        return FetchReport(on=on)
    first = on - timedelta(days=DAYS)
    report = fetch_due(on=on, timezone=cell.timezone, cells=[cell], first=first, again=True)
    rebuild_normals(cells=[cell], before=on)
    return report
