"""One pull: its batches, the halving of a batch that is refused, and when to stop asking."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any, Final

from weather.models import Quality, WeatherCell
from weather.providers.asking import Asker
from weather.providers.base import Answer
from weather.providers.errors import (
    DatesRefused,
    Misconfigured,
    PlaceRefused,
    Throttled,
    TooMuch,
    Unavailable,
    WeatherSourceError,
)
from weather.providers.open_meteo.answers import UNITS, Stretch, read_place
from weather.providers.open_meteo.hours import HOURLY_UNITS

# Up to here a request's address stays short; more places go as a body.
MOST_PLACES_IN_ADDRESS: Final = 60
# After so many batches in a row without an answer the source counts as down and is left alone.
FAILURES_TO_STOP: Final = 3
# Halving 200 places down to one bad one takes 16 refusals. Far more mean that it isn't one place's fault.
REFUSALS_TO_STOP: Final = 64
_CHOICES: Final = {
    "temperature_unit": "celsius",
    "wind_speed_unit": "ms",
    "precipitation_unit": "mm",
    "timeformat": "iso8601",
}


def weight_of(places: int, days: int, *, hours: bool = False) -> float:
    """Return what a request counts as at the source, by its published rule.

    ``max(1, v/10, v/10 x days/14)`` for each place, with v the number of variables, daily and hourly alike.
    """
    tenths = (len(UNITS) + (len(HOURLY_UNITS) if hours else 0)) / 10.0
    return places * max(1.0, tenths, tenths * days / 14.0)


@dataclass(kw_only=True)
class Pull:
    """One pull of some cells' days, and what it has run into so far."""

    asker: Asker
    answer: Answer
    archive_url: str
    batch: int
    hours: bool = False
    closed: dict[str, WeatherSourceError] = field(default_factory=dict)
    failures: Counter[str] = field(default_factory=Counter)
    refusals: int = 0

    def run(self, cells: Sequence[WeatherCell], stretch: Stretch) -> None:
        """Ask for one stretch of days, batch by batch."""
        for batch in self._batches(cells, stretch.days):
            self._gather(batch, stretch)

    def _batches(self, cells: Sequence[WeatherCell], days: int) -> Iterator[Sequence[WeatherCell]]:
        affordable = self.asker.allowance.largest_request() / weight_of(1, days, hours=self.hours)
        size = max(1, int(min(self.batch, affordable)))
        for start in range(0, len(cells), size):
            yield cells[start : start + size]

    def _gather(self, cells: Sequence[WeatherCell], stretch: Stretch) -> None:
        if why := self.closed.get(stretch.url):
            self.answer.failed(cells, why)
            return
        try:
            items = self._ask(cells, stretch)
        except DatesRefused as error:
            self._within(cells, stretch, error)
        except (TooMuch, PlaceRefused) as error:
            self._halve(cells, stretch, error)
        except Unavailable as error:
            self._count_failure(cells, stretch, error)
        except (Throttled, Misconfigured) as error:
            self._close(stretch.url, error)
            self.answer.failed(cells, error)
        else:
            self.failures[stretch.url] = 0
            for cell, item in zip(cells, items, strict=True):
                self._read(cell, item, stretch)

    def _close(self, url: str, why: WeatherSourceError) -> None:
        self.closed[url] = why
        self.answer.alert(why)

    def _ask(self, cells: Sequence[WeatherCell], stretch: Stretch) -> list[Any]:
        weight = weight_of(len(cells), stretch.days, hours=self.hours)
        if len(cells) > MOST_PLACES_IN_ADDRESS:
            data = self.asker.ask(stretch.url, weight=weight, json=_body(cells, stretch, hours=self.hours))
        else:
            data = self.asker.ask(
                stretch.url, weight=weight, params=_address(cells, stretch, hours=self.hours)
            )
        items = data if isinstance(data, list) else [data]
        if len(items) != len(cells):
            # Places are matched by their position, so one too few makes all of them doubtful.
            raise Unavailable("broken_answer", "The weather source answered for another number of places.")
        return items

    def _read(self, cell: WeatherCell, item: Any, stretch: Stretch) -> None:
        try:
            self.answer.came(cell, read_place(item, cell=cell, stretch=stretch))
        except WeatherSourceError as error:
            self.answer.failed([cell], error)
            if isinstance(error, Misconfigured):
                self.answer.alert(error)

    def _within(self, cells: Sequence[WeatherCell], stretch: Stretch, error: DatesRefused) -> None:
        """Ask again for the dates the source holds; what is too old for a forecast is in the archive."""
        first, last = max(stretch.first, error.first), min(stretch.last, error.last)
        older = min(stretch.last, error.first - timedelta(days=1))
        clamped = (first, last) != (stretch.first, stretch.last) and first <= last
        if clamped:
            self._gather(cells, replace(stretch, first=first, last=last))
        if stretch.url != self.archive_url and stretch.first <= older:
            self._gather(cells, _archived(stretch, self.archive_url, older))
        elif not clamped:
            self.answer.failed(cells, error)

    def _halve(self, cells: Sequence[WeatherCell], stretch: Stretch, error: WeatherSourceError) -> None:
        self.refusals += 1
        if self.refusals > REFUSALS_TO_STOP:
            self._close(
                stretch.url, Misconfigured("refused", "The weather source refuses nearly every place.")
            )
        if len(cells) == 1:
            self.answer.failed(cells, error)
            return
        middle = len(cells) // 2
        self._gather(cells[:middle], stretch)
        self._gather(cells[middle:], stretch)

    def _count_failure(self, cells: Sequence[WeatherCell], stretch: Stretch, error: Unavailable) -> None:
        self.answer.failed(cells, error)
        self.failures[stretch.url] += 1
        if self.failures[stretch.url] >= FAILURES_TO_STOP:
            self._close(stretch.url, Unavailable("source_down", "The weather source keeps failing."))


def _archived(stretch: Stretch, url: str, last: date) -> Stretch:
    return replace(stretch, url=url, last=last, past_quality=Quality.REANALYSIS.value)


def _address(cells: Sequence[WeatherCell], stretch: Stretch, *, hours: bool) -> dict[str, str]:
    """Return the request as a query: lists as text with commas."""
    return {
        "latitude": ",".join(f"{cell.latitude:.3f}" for cell in cells),
        "longitude": ",".join(f"{cell.longitude:.3f}" for cell in cells),
        "elevation": ",".join(f"{cell.elevation_m:.0f}" for cell in cells),
        "timezone": ",".join(cell.timezone for cell in cells),
        "daily": ",".join(UNITS),
        **({"hourly": ",".join(HOURLY_UNITS)} if hours else {}),
        "start_date": stretch.first.isoformat(),
        "end_date": stretch.last.isoformat(),
        **_CHOICES,
    }


def _body(cells: Sequence[WeatherCell], stretch: Stretch, *, hours: bool) -> dict[str, Any]:
    """Return the request as a JSON body: lists as arrays."""
    return {
        "latitude": [round(cell.latitude, 3) for cell in cells],
        "longitude": [round(cell.longitude, 3) for cell in cells],
        "elevation": [round(cell.elevation_m) for cell in cells],
        "timezone": [cell.timezone for cell in cells],
        "daily": list(UNITS),
        **({"hourly": list(HOURLY_UNITS)} if hours else {}),
        "start_date": [stretch.first.isoformat()] * len(cells),
        "end_date": [stretch.last.isoformat()] * len(cells),
        **_CHOICES,
    }
