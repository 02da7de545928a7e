"""What a refusal of this source means. Its texts are read because the status alone doesn't tell.

The texts are from the source's published server code and issues as of August 2026; none sets Retry-After, but
if one ever does it is believed.
"""

import re
from datetime import UTC, date, datetime, timedelta
from email.utils import parsedate_to_datetime
from typing import Final

import requests

from weather.providers.allowance import window_end
from weather.providers.errors import (
    DatesRefused,
    Misconfigured,
    PlaceRefused,
    Throttled,
    TooMuch,
    Unavailable,
    WeatherSourceError,
)

_DATES: Final = re.compile(r"out of allowed range from (\d{4}-\d\d-\d\d) to (\d{4}-\d\d-\d\d)")
_CONCURRENT_WAIT: Final = timedelta(seconds=3)

_BAD_REQUEST: Final = (
    ("API key", Misconfigured, "bad_key", "The weather source doesn't accept the key."),
    (
        "customer-",
        Misconfigured,
        "wrong_address",
        "A key needs the customers' address of the weather source.",
    ),
    ("Only up to", TooMuch, "too_many_places", "Too many places at once for the weather source."),
    ("too much data", TooMuch, "too_much_data", "Too many days at once for the weather source."),
    ("No data is available", PlaceRefused, "no_data", "The weather source has no data for this place."),
    ("atitude must be", PlaceRefused, "bad_place", "The weather source doesn't accept this place."),
    ("ongitude must be", PlaceRefused, "bad_place", "The weather source doesn't accept this place."),
    ("nvalid timezone", PlaceRefused, "bad_timezone", "The weather source doesn't know this time zone."),
    ("same number of elements", Misconfigured, "bad_request", "The weather source calls the request wrong."),
    ("mutually exclusive", Misconfigured, "bad_request", "The weather source calls the request wrong."),
    ("Data corrupted", Misconfigured, "bad_request", "The weather source doesn't know what was asked for."),
    (
        "Cannot initialize",
        Misconfigured,
        "bad_request",
        "The weather source doesn't know what was asked for.",
    ),
)
_BY_STATUS: Final = {
    401: ("no_key", "The weather source wants a key."),
    403: ("not_in_plan", "The key's plan at the weather source doesn't include this."),
    404: ("wrong_address", "Nothing answers at the weather source's address."),
}


def refusal(response: requests.Response, now: datetime) -> WeatherSourceError:
    """Return what a response other than 200 means for us."""
    status, reason = response.status_code, _reason(response)
    if status == 400:
        return _bad_request(reason)
    if status in (413, 414, 431):
        return TooMuch("too_many_places", "Too much at once for the weather source.")
    if status == 429:
        return _throttled(reason, _retry_after(response, now), now)
    if status >= 500 or status in (408, 425):
        return Unavailable(
            "server_error",
            f"The weather source has trouble of its own (status {status}).",
            retry_at=_retry_after(response, now),
        )
    if status < 400:
        return Misconfigured("wrong_address", "The weather source's address has moved elsewhere.")
    code, message = _BY_STATUS.get(status, ("refused", f"The weather source refuses (status {status})."))
    return Misconfigured(code, message)


def _reason(response: requests.Response) -> str:
    try:
        body = response.json()
    except ValueError:
        return ""
    return str(body.get("reason", "")) if isinstance(body, dict) else ""


def _bad_request(reason: str) -> WeatherSourceError:
    if found := _DATES.search(reason):
        first, last = (date.fromisoformat(text) for text in found.groups())
        return DatesRefused(f"The weather source holds {first} to {last} only.", first=first, last=last)
    for text, kind, code, message in _BAD_REQUEST:
        if text in reason:
            return kind(code, message)
    # Unknown: it may be one place's fault, so the batch is worth halving.
    return PlaceRefused("refused", "The weather source refuses this place.")


def _throttled(reason: str, retry_after: datetime | None, now: datetime) -> Throttled:
    if "concurrent" in reason:
        message = "The weather source answers others of our requests just now."
        return Throttled("concurrent", message, retry_at=retry_after or now + _CONCURRENT_WAIT)
    window = "day" if "Daily" in reason else "hour" if "Hourly" in reason else "minute"
    return Throttled(
        f"over_{window}_limit",
        f"The weather source's allowance for this {window} is used up.",
        retry_at=retry_after or window_end(window, now),
    )


def _retry_after(response: requests.Response, now: datetime) -> datetime | None:
    value = response.headers.get("Retry-After", "").strip()
    if value.isdigit():
        return now + timedelta(seconds=int(value))
    try:
        moment = parsedate_to_datetime(value)
    except ValueError:
        return None
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)
