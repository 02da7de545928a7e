"""A source of weather that answers over a real socket, in the documented shape, with what a test says."""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

import pytest
from pytest_httpserver import HTTPServer
from werkzeug import Request, Response

from tests.night.garden import ON

UNITS = {
    "temperature_2m_max": "°C",
    "temperature_2m_min": "°C",
    "dew_point_2m_mean": "°C",
    "relative_humidity_2m_mean": "%",
    "wind_speed_10m_mean": "m/s",
    "shortwave_radiation_sum": "MJ/m²",
    "et0_fao_evapotranspiration": "mm",
    "precipitation_sum": "mm",
    "precipitation_probability_max": "%",
}


@dataclass
class SkySource:
    """What the source answers: usual summer days, rain by date, and faults by the number of the request."""

    rain: dict[date, float] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    empty_places: set[int] = field(default_factory=set)
    faults: list[Callable[[], Response]] = field(default_factory=list)
    always: Callable[[], Response] | None = None
    asked: int = 0

    def answer(self, request: Request) -> Response:
        self.asked += 1
        if self.always is not None:
            return self.always()
        if self.faults:
            return self.faults.pop(0)()
        ask = self._asked(request)
        places = [self._place(n, zone, ask) for n, zone in enumerate(ask["timezone"])]
        return Response(json.dumps(places if len(places) > 1 else places[0]), content_type="application/json")

    def _asked(self, request: Request) -> dict[str, list[str]]:
        raw: dict[str, Any] = request.get_json() if request.method == "POST" else dict(request.args)
        return {k: v if isinstance(v, list) else str(v).split(",") for k, v in raw.items()}

    def _place(self, n: int, zone: str, ask: dict[str, list[str]]) -> dict[str, Any]:
        first, last = date.fromisoformat(ask["start_date"][0]), date.fromisoformat(ask["end_date"][0])
        days = (
            []
            if n in self.empty_places
            else [first + timedelta(days=i) for i in range((last - first).days + 1)]
        )
        usual = {
            "temperature_2m_max": 31.0,
            "temperature_2m_min": 15.0,
            "dew_point_2m_mean": 12.0,
            "relative_humidity_2m_mean": 50,
            "wind_speed_10m_mean": 2.4,
            "shortwave_radiation_sum": 27.0,
            "et0_fao_evapotranspiration": 6.6,
            "precipitation_probability_max": 5,
        }
        daily: dict[str, list[Any]] = {name: [usual.get(name)] * len(days) for name in ask["daily"]}
        daily["precipitation_sum"] = [self.rain.get(day, 0.0) for day in days]
        return {
            "latitude": 39.2,
            "longitude": -121.1,
            "elevation": 310.0,
            "generationtime_ms": 0.3,
            "utc_offset_seconds": -25200,
            "timezone": zone,
            "timezone_abbreviation": "GMT-7",
            "daily_units": {"time": "iso8601", **{name: UNITS[name] for name in ask["daily"]}, **self.units},
            "daily": {"time": [day.isoformat() for day in days], **daily},
        }


@pytest.fixture
def sky(httpserver: HTTPServer, settings: Any) -> Iterator[SkySource]:
    source = SkySource()
    httpserver.expect_request("/v1/forecast").respond_with_handler(source.answer)
    httpserver.expect_request("/v1/archive").respond_with_handler(source.answer)
    settings.WEATHER_SOURCE = "open-meteo"
    settings.OPEN_METEO_URL = httpserver.url_for("/v1/forecast")
    settings.OPEN_METEO_ARCHIVE_URL = httpserver.url_for("/v1/archive")
    settings.AS_OF = ON
    yield source


@pytest.fixture
def on_the_day(settings: Any) -> date:
    settings.AS_OF = ON
    return ON
