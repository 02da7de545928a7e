"""The weather part of a night: every site has its cell, every cell its days, and what went wrong is said."""

from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from datetime import date, datetime
from typing import Any

from fleet.models import Site
from fleet.services.heights import take_source_heights
from weather.models import MonthlyNormal, WeatherCell
from weather.services.cells import cell_for
from weather.services.fetch import fetch_due
from weather.services.normals import rebuild_normals


@dataclass
class NightWeather:
    """What was pulled: cells asked for, failures as ``{scope, id, code, message}``."""

    cells: int = 0
    failures: list[dict[str, Any]] = dataclass_field(default_factory=list)
    failed_sites: list[tuple[Site, str, str]] = dataclass_field(default_factory=list)


def pull_weather(sites: Sequence[Site], *, on: date, timezone: str) -> NightWeather:
    """Pull what is due for the cells of some sites; one bad site or cell never stops the others."""
    result = NightWeather()
    for site in sites:
        if site.cell_id is None:
            try:
                give_cell(site)
            except Exception as error:
                result.failed_sites.append((site, "no_cell", f"No weather cell could be found: {error}"))
    take_source_heights(
        sites
    )  # by what was said in earlier nights, so that the cell it leads to is pulled too
    cells = {site.cell_id: site.cell for site in sites if site.cell is not None}
    result.cells = len(cells)
    if cells:
        report = fetch_due(cells=list(cells.values()), on=on, timezone=timezone)
        result.failures = [dict(failure) for failure in (*report.alerts, *report.failures)]
        _keep_normals(list(cells.values()), on=on)
    return result


def pull_forecast(
    sites: Sequence[Site], *, on: date, timezone: str, issued_at: datetime
) -> list[dict[str, Any]]:
    """Pull the newest forecast for the cells of some sites; return what failed."""
    cells = {site.cell_id: site.cell for site in sites if site.cell is not None}
    if not cells:
        return []
    report = fetch_due(cells=list(cells.values()), on=on, timezone=timezone, issued_at=issued_at, again=True)
    return [dict(failure) for failure in (*report.alerts, *report.failures)]


def _keep_normals(cells: list[WeatherCell], *, on: date) -> None:
    """Rebuild what a month usually brings: where there is none yet, and for all on the first of a month."""
    known = set(MonthlyNormal.objects.filter(cell__in=cells).values_list("cell_id", flat=True))
    wanted = [cell for cell in cells if on.day == 1 or cell.pk not in known]
    if wanted:
        rebuild_normals(cells=wanted, before=on)


def give_cell(site: Site) -> None:
    """Find the weather cell of a site and store it."""
    site.cell = cell_for(
        latitude=site.latitude, longitude=site.longitude, elevation_m=site.elevation_m, timezone=site.timezone
    )
    Site.objects.filter(pk=site.pk).update(cell=site.cell)
