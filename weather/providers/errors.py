"""What can go wrong when a source is asked, and what to do about it.

WeatherSourceError
├── Unavailable     nobody's fault, try again soon: time-out, 5xx, an answer that breaks off
├── Throttled       too much was asked; ``retry_at`` says when to come back
├── TooMuch         this one request is too big: split it
├── PlaceRefused    one of the places in the request: ask for fewer until it is found
├── DatesRefused    the source holds other dates; ``first`` and ``last`` say which
└── Misconfigured   a key, an address or a request that can't work: somebody must look, no retry
"""

from datetime import date, datetime

from common.errors import BluestemError


class WeatherSourceError(BluestemError):
    """The root. ``code`` is short and stable, ``message`` is for people."""

    def __init__(self, code: str, message: str, *, retry_at: datetime | None = None) -> None:
        super().__init__(message)
        self.code = code
        self.retry_at = retry_at


class Unavailable(WeatherSourceError):
    """Worth another try soon."""


class Throttled(WeatherSourceError):
    """Worth another try at ``retry_at``, not before."""


class TooMuch(WeatherSourceError):
    """Worth asking in smaller parts."""


class PlaceRefused(WeatherSourceError):
    """Worth asking without the place at fault."""


class DatesRefused(WeatherSourceError):
    """Worth asking for the dates from ``first`` to ``last``."""

    def __init__(self, message: str, *, first: date, last: date) -> None:
        super().__init__("dates_refused", message)
        self.first = first
        self.last = last


class Misconfigured(WeatherSourceError):
    """Not worth asking again before somebody changes something."""
