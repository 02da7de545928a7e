"""Small readings of the weather window that several parts of a season need."""

from collections.abc import Iterable
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from common import clock
from fleet.models import Site
from scheduling.season.site_rain import RainSeen
from weather.models import ObservedDay
from weather.season import Kind, WeatherWindow

KIND_WORDS = {
    Kind.OBSERVED: "observed",
    Kind.STAND_IN: "forecast for a missing day",
    Kind.FORECAST: "forecast",
    Kind.NORMAL: "normal",
    Kind.RECENT: "recent mean",
    Kind.NONE: "unknown",
}


@dataclass(frozen=True)
class Sky:
    """A weather window with who said so. Cells are columns, then sites where somebody saw the rain."""

    window: WeatherWindow
    told_by: dict[int, tuple[str, str]] = dataclass_field(default_factory=dict)
    own: dict[int, int] = dataclass_field(default_factory=dict)
    rain_seen: dict[int, list[RainSeen]] = dataclass_field(default_factory=dict)

    @property
    def days(self) -> list[date]:
        """Return the dates of the rows."""
        return clock.days(self.window.first, self.window.last)

    @property
    def columns(self) -> dict[int | None, int]:
        """Return the column of each cell."""
        cells = self.window.cell_ids[: len(self.window.cell_ids) - len(self.own)]
        return {int(cell): n for n, cell in enumerate(cells)}

    def columns_of(self, sites: Iterable[Site]) -> dict[int, int]:
        """Return the column of each site's weather: its own, or its cell's."""
        cell = self.columns
        return {s.pk: self.own.get(s.pk, cell[s.cell_id]) for s in sites if s.cell_id in cell}

    @property
    def rain_expected_mm(self) -> NDArray[np.float64]:
        """Return gross rain, what is only foreseen cut to what its source has earned. [mm]"""
        return self.window.credited_rain_mm

    def kind_word(self, row: int, column: int) -> str:
        """Say how a day's weather is known."""
        return KIND_WORDS[Kind(int(self.window.kind[row, column]))]

    def source_of(self, column: int) -> str:
        """Return who measured a cell's newest day."""
        return self.told_by.get(int(self.window.cell_ids[column]), ("", ""))[0]

    def method_of(self, column: int) -> str:
        """Return from which inputs a cell's newest reference ET was computed."""
        return self.told_by.get(int(self.window.cell_ids[column]), ("", ""))[1]


def told_by(cells: Iterable[int], *, first: date, on: date) -> dict[int, tuple[str, str]]:
    """Return source and method of each cell's newest observed day before ``on``."""
    rows = ObservedDay.objects.filter(
        cell__in=set(cells), date__gte=first, date__lt=on, reference_et_mm__isnull=False
    ).order_by("date")
    newest_week = rows.filter(date__gte=date.fromordinal(max(first.toordinal(), on.toordinal() - 10)))
    return {
        cell: (source, method)
        for cell, source, method in newest_week.values_list("cell", "source", "et_method")
    }
