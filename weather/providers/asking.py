"""Asking a source over HTTP: time-outs, few and patient tries, and the allowance counted first."""

import random
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final

import requests
from django.utils import timezone

from weather.providers.allowance import Allowance
from weather.providers.errors import (
    DatesRefused,
    Misconfigured,
    PlaceRefused,
    Throttled,
    TooMuch,
    Unavailable,
    WeatherSourceError,
)

CONNECT_READ_S: Final = (5.0, 30.0)
TRIES: Final = 3
FIRST_WAIT_S: Final = 2.0
# Longer than this we don't sit and wait: the row in the database remembers.
LONGEST_WAIT_S: Final = 90.0
# A request that failed still counts as one at the source.
WEIGHT_OF_A_FAILURE: Final = 1.0
USER_AGENT: Final = "Bluestem (irrigation scheduling, self-hosted)"

_WRONG_ADDRESS = (
    requests.exceptions.InvalidURL,
    requests.exceptions.MissingSchema,
    requests.exceptions.InvalidSchema,
)


@dataclass(kw_only=True)
class Asker:
    """One source's HTTP side. ``refusal`` reads a response that isn't 200 and says what it means."""

    allowance: Allowance
    refusal: Callable[[requests.Response, datetime], WeatherSourceError]
    headers: Mapping[str, str] = field(default_factory=dict)
    sleep: Callable[[float], None] = time.sleep
    now: Callable[[], datetime] = timezone.now
    session: requests.Session = field(default_factory=requests.Session)

    def ask(self, url: str, *, weight: float, params: Any = None, json: Any = None) -> Any:
        """Return the answer's JSON; GET, or POST if there is a ``json`` body. Raise a WeatherSourceError."""
        taken = self._take(weight)
        for attempt in range(TRIES):
            try:
                return self._once(url, params=params, json=json)
            except (TooMuch, PlaceRefused, DatesRefused, Misconfigured):
                self.allowance.give_back(taken, weight - WEIGHT_OF_A_FAILURE)
                raise
            except (Unavailable, Throttled) as error:
                wait = self._wait_s(error, attempt)
                if attempt == TRIES - 1 or wait > LONGEST_WAIT_S:
                    raise
                self.sleep(wait)
                self._take(WEIGHT_OF_A_FAILURE)
        raise AssertionError("unreachable")

    def _take(self, weight: float) -> list[int]:
        for attempt in range(TRIES):
            try:
                return self.allowance.take(weight)
            except Throttled as error:
                wait = self._wait_s(error, attempt)
                if attempt == TRIES - 1 or wait > LONGEST_WAIT_S:
                    raise
                self.sleep(wait)
        raise AssertionError("unreachable")

    def _wait_s(self, error: WeatherSourceError, attempt: int) -> float:
        # The jitter keeps many installations from coming back in the same second.
        if error.retry_at is not None:
            return max((error.retry_at - self.now()).total_seconds(), 0.0) + random.uniform(0.2, 2.0)
        return FIRST_WAIT_S * 2.0**attempt * random.uniform(0.75, 1.25)

    def _once(self, url: str, *, params: Any, json: Any) -> Any:
        try:
            response = self.session.request(
                "GET" if json is None else "POST",
                url,
                params=params,
                json=json,
                headers={"User-Agent": USER_AGENT, "Accept": "application/json", **self.headers},
                timeout=CONNECT_READ_S,
                allow_redirects=False,
            )
        except _WRONG_ADDRESS as error:
            raise Misconfigured(
                "wrong_address", "The weather source's address isn't a web address."
            ) from error
        except requests.Timeout as error:
            raise Unavailable("timeout", "The weather source didn't answer in time.") from error
        except requests.RequestException as error:
            raise Unavailable("unreachable", "The weather source couldn't be reached.") from error
        if response.status_code != requests.codes.ok:
            raise self.refusal(response, self.now())
        return _json(response)


def _json(response: requests.Response) -> Any:
    try:
        return response.json(parse_constant=lambda _: None)
    except ValueError as error:
        raise Unavailable("broken_answer", "The weather source's answer broke off or was no JSON.") from error
