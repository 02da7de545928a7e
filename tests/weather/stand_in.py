"""A local HTTP server that answers like Open-Meteo: shape, units, nulls and refusals as it documents them.

The shape follows its public documentation and server code as of August 2026; every value is invented.
"""

import json
import math
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from typing import Any

from pytest_httpserver import HTTPServer
from werkzeug import Request, Response

UNITS = {
    "time": "iso8601",
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
HOURLY_UNITS = {
    "time": "iso8601",
    "temperature_2m": "°C",
    "dew_point_2m": "°C",
    "wind_speed_10m": "m/s",
    "shortwave_radiation": "W/m²",
}
A_DAY = {
    "temperature_2m_max": 33.0,
    "temperature_2m_min": 14.9,
    "dew_point_2m_mean": 12.8,
    "relative_humidity_2m_mean": 55,
    "wind_speed_10m_mean": 3.0,
    "shortwave_radiation_sum": 29.31,
    "et0_fao_evapotranspiration": 7.0,
    "precipitation_sum": 0.0,
    "precipitation_probability_max": 4,
}
OFFSETS = {"America/Los_Angeles": -25200, "America/New_York": -14400, "America/Denver": -21600}

Change = Callable[[int, dict[str, Any]], Any]


class OpenMeteoStandIn:
    """Answers every request in the documented shape; tests change places, days, or whole responses."""

    def __init__(self, server: HTTPServer) -> None:
        self.server = server
        self.asked: list[dict[str, Any]] = []
        self.headers: list[dict[str, str]] = []
        self.queries: list[str] = []
        self.paths: list[str] = []
        self.day: Callable[[date], dict[str, Any]] = lambda _: A_DAY
        self.hour: Callable[[datetime], dict[str, Any]] = an_hour
        self.change: Change = lambda _, item: item
        self.instead: list[Response] = []
        self.refuse: Callable[[dict[str, Any]], Response | None] = lambda _: None
        for path in ("/v1/forecast", "/v1/archive"):
            server.expect_request(path).respond_with_handler(self._answer)

    def url(self, path: str) -> str:
        return self.server.url_for(path)

    def _answer(self, request: Request) -> Response:
        wanted = read(request)
        self.asked.append(wanted)
        self.headers.append(dict(request.headers))
        self.queries.append(request.query_string.decode())
        self.paths.append(request.path)
        if self.instead:
            return self.instead.pop(0)
        if refusal := self.refuse(wanted):
            return refusal
        items = [self.change(i, self._place(wanted, i)) for i in range(len(wanted["latitude"]))]
        return in_json(items if len(items) > 1 else items[0])

    def _place(self, wanted: dict[str, Any], i: int) -> dict[str, Any]:
        days = [
            wanted["first"] + timedelta(days=n) for n in range((wanted["last"] - wanted["first"]).days + 1)
        ]
        values = [self.day(day) for day in days]
        zone = wanted["timezone"][i]
        item = {
            "latitude": 38.451057,
            "longitude": -121.61133,
            "generationtime_ms": 0.31,
            "utc_offset_seconds": OFFSETS[zone],
            "timezone": zone,
            "timezone_abbreviation": "GMT-7",
            "elevation": 12.0,
            "daily_units": UNITS | {},
            "daily": {"time": [day.isoformat() for day in days]}
            | {name: [value[name] for value in values] for name in wanted["daily"]},
        }
        if "hourly" in wanted:
            labels = [datetime.combine(day, time(hour)) for day in days for hour in range(24)]
            hours = [self.hour(label) for label in labels]
            item["hourly_units"] = HOURLY_UNITS | {}
            item["hourly"] = {"time": [label.isoformat(timespec="minutes") for label in labels]}
            item["hourly"] |= {name: [hour[name] for hour in hours] for name in wanted["hourly"]}
        return item | ({"location_id": i} if i else {})


def an_hour(label: datetime) -> dict[str, Any]:
    """A clear summer's day, by the label: 14.9 degC at five, 33 at five in the afternoon."""
    turn = math.cos(2 * math.pi * (label.hour - 17) / 24)
    sun = max(0.0, math.sin(math.pi * (label.hour - 6) / 14))  # of the hour that ends here
    return {
        "temperature_2m": round(23.95 + 9.05 * turn, 1),
        "dew_point_2m": 12.8,
        "wind_speed_10m": round(3.0 + turn, 2),
        "shortwave_radiation": round(910.0 * sun, 1),
    }


def read(request: Request) -> dict[str, Any]:
    """Return what was asked for, whether in the address or as a JSON body."""
    raw: dict[str, Any] = request.get_json() if request.method == "POST" else dict(request.args)
    lists = ("latitude", "longitude", "elevation", "timezone", "daily", "hourly", "start_date", "end_date")
    wanted: dict[str, Any] = {
        name: value.split(",") if name in lists and isinstance(value, str) else value
        for name, value in raw.items()
    }
    count = len(wanted["latitude"])
    assert all(len(wanted[name]) == count for name in ("longitude", "elevation", "timezone"))
    assert len(wanted["start_date"]) in (1, count)
    first, last = (date.fromisoformat(wanted[name][0]) for name in ("start_date", "end_date"))
    return wanted | {"first": first, "last": last, "method": request.method}


def in_json(body: Any, status: int = 200) -> Response:
    text = json.dumps(body, ensure_ascii=False)
    return Response(text, status, content_type="application/json; charset=utf-8")


def refusal(status: int, reason: str, **headers: str) -> Response:
    """Return an error in the source's shape."""
    response = in_json({"error": True, "reason": reason}, status)
    for name, value in headers.items():
        response.headers[name.replace("_", "-")] = value
    return response


def gateway_page() -> Response:
    """Return the page a proxy shows during outages."""
    page = "<html>\n<head><title>502 Bad Gateway</title></head>\n<body></body>\n</html>"
    return Response(page, 502, content_type="text/html")


def broken_stream() -> Response:
    """Return an answer that began well and broke off: status 200, and no JSON."""
    text = (
        '[{"latitude":38.451057,"longitude":-121.61133,"daily":{"time":["2026-07-11"],"temperature_2m'
        "Unexpected error while streaming data: The operation couldn't be completed."
    )
    return Response(text, 200, content_type="application/json; charset=utf-8")
