"""The cast of the weather tests: cells in an invented valley, and a source behind a real socket."""

from datetime import UTC, date, datetime, timedelta

import pytest

from tests.weather.stand_in import OpenMeteoStandIn
from weather.models import ObservedDay, WeatherCell
from weather.providers.open_meteo import OpenMeteo

ON = date(2026, 7, 14)
TIMEZONE = "America/Los_Angeles"
NO_LIMITS = {"minute": 0, "hour": 0, "day": 0}


class Clock:
    """A clock that only moves when somebody sleeps."""

    def __init__(self) -> None:
        self.moment = datetime(2026, 7, 14, 12, 30, 20, tzinfo=UTC)
        self.slept: list[float] = []

    def now(self) -> datetime:
        return self.moment

    def sleep(self, seconds: float) -> None:
        self.slept.append(seconds)
        self.moment += timedelta(seconds=seconds)


@pytest.fixture(scope="session")
def httpserver_listen_address():
    return "127.0.0.1", 0


@pytest.fixture
def stand_in(httpserver):
    return OpenMeteoStandIn(httpserver)


@pytest.fixture
def still_clock():
    return Clock()


@pytest.fixture
def open_meteo(stand_in, still_clock):
    return OpenMeteo(
        url=stand_in.url("/v1/forecast"),
        archive_url=stand_in.url("/v1/archive"),
        limits=NO_LIMITS,
        sleep=still_clock.sleep,
        now=still_clock.now,
    )


@pytest.fixture
def cell(db):
    return a_cell(0)


@pytest.fixture
def cells(db):
    return [a_cell(i) for i in range(3)]


def a_cell(number: int, *, timezone: str = TIMEZONE) -> WeatherCell:
    """Return the cell with this number in a row of neighbours, stored."""
    return WeatherCell.objects.create(
        latitude=38.445, longitude=round(-121.605 + 0.03 * number, 3), elevation_m=10.0, timezone=timezone
    )


def many_cells(count: int) -> list[WeatherCell]:
    """Return a row of neighbouring cells, stored."""
    return WeatherCell.objects.bulk_create(
        WeatherCell(
            latitude=38.445, longitude=round(-121.605 + 0.03 * i, 3), elevation_m=10.0, timezone=TIMEZONE
        )
        for i in range(count)
    )


def observed(cell: WeatherCell, day: date, **fields: object) -> ObservedDay:
    """Return a stored observed day with reference ET 6 mm and no rain, unless told otherwise."""
    return ObservedDay.objects.create(
        cell=cell, date=day, **({"reference_et_mm": 6.0, "rain_mm": 0.0} | fields)
    )


def ago(days: int) -> date:
    """Return the date so many days before the morning of the tests."""
    return ON - timedelta(days=days)
