"""A site where somebody saw how much it rained gets weather of its own: the cell's, with that rain.

The cell's weather and what its source's forecasts have earned stay as they are for everyone else.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from fleet.models import Site
from weather.season import Kind, WeatherWindow

BY_DAY = ("reference_et_mm", "rain_mm", "t_min_c", "wind_2m_m_s", "kind", "rain_kind")
BY_CELL = ("cell_ids", "fallback_days", "rain_credit")


@dataclass(frozen=True)
class RainSeen:
    """Rain of one day as seen on a site, and what the source said instead. [mm]"""

    day: date
    rain_mm: float
    source_mm: float
    how: str


def with_site_rain(
    window: WeatherWindow, sites: Sequence[Site], noted: Sequence[tuple[int, date, float, str]]
) -> tuple[WeatherWindow, dict[int, int], dict[int, list[RainSeen]]]:
    """Append a column for every site with rain of its own.

    Parameters
    ----------
    window
        Weather of the cells.
    sites
        The sites the rows are about.
    noted
        Site, day, rain [mm] and how it was found; days outside the window's past are left out.

    Returns
    -------
    WeatherWindow, columns by site, rain seen by site
        Rain that was seen counts as observed, in full.
    """
    inside: dict[int, list[tuple[date, float, str]]] = defaultdict(list)
    for site_id, day, rain_mm, how in noted:
        if window.first <= day < window.on:
            inside[site_id].append((day, rain_mm, how))
    cell = {int(cell_id): n for n, cell_id in enumerate(window.cell_ids)}
    own = [site for site in sites if site.pk in inside and site.cell_id in cell]
    if not own:
        return window, {}, {}
    wider = _wider(window, [cell[int(site.cell_id or 0)] for site in own])
    columns = {site.pk: len(window.cell_ids) + n for n, site in enumerate(own)}
    seen: dict[int, list[RainSeen]] = {}
    for site in own:
        column = columns[site.pk]
        seen[site.pk] = []
        for day, rain_mm, how in sorted(inside[site.pk]):
            row = (day - window.first).days
            seen[site.pk].append(RainSeen(day, rain_mm, float(wider.rain_mm[row, column]), how))
            wider.rain_mm[row, column] = rain_mm
            wider.rain_kind[row, column] = Kind.OBSERVED
    return wider, columns, seen


def _wider(window: WeatherWindow, again: list[int]) -> WeatherWindow:
    """Return a window with some columns once more at its end."""
    places = [*range(len(window.cell_ids)), *again]
    of_cells: dict[str, Any] = {name: getattr(window, name)[:, places] for name in BY_DAY}
    of_cells |= {name: getattr(window, name)[places] for name in BY_CELL}
    through = tuple(window.observed_through[n] for n in places)
    return replace(window, observed_through=through, **of_cells)
