"""The weather of one place when somebody waits for it: its last year, and what its months usually bring."""

from datetime import timedelta
from typing import Final

from common import clock
from weather.models import WeatherCell
from weather.services.fetch import fetch_due
from weather.services.normals import rebuild_normals
from weather.services.reports import FetchReport

DAYS: Final = 365


def fetch_usual_year(cell: WeatherCell) -> FetchReport:
    """Fetch the last year of a place, for days that aren't stored, and rebuild its monthly normals."""
    on = clock.today(cell.timezone)
    first = on - timedelta(days=DAYS)
    report = fetch_due(on=on, timezone=cell.timezone, cells=[cell], first=first, again=True)
    rebuild_normals(cells=[cell], before=on)
    return report
