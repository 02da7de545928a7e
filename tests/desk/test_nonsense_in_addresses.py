"""Whatever stands in an address, no page and no file breaks: it answers or says no."""

from typing import Any

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from tests.cast import TODAY, Cast

pytestmark = [pytest.mark.django_db, pytest.mark.once]

NAMES = (
    "page", "from", "to", "on", "night", "month", "year", "date", "day", "kind", "status", "view", "open",
    "sort", "order", "words", "q", "season", "access", "program", "zone", "site", "client", "what", "of",
    "per", "next", "id",
)  # fmt: skip
NONSENSE = (
    "-1", "1e9", "99999999999999999999", "0000-00-00", "99999-01-01", "9999-12-31", "0001-01-01",
    "2026-02-31", "nan", "a\0b", "\u202eabc", "\u0663", "\U0001f331", "9" * 10_000, "[]", "<b>", "%",
    "'\"--", "",
)  # fmt: skip
LEFT_OUT = ("/back-office/", "/static/", "/sign-out/")


def addresses(cast: Cast) -> list[str]:
    """Return every address of the service with the cast's rows in it."""
    found: list[str] = []

    def walk(patterns: list[Any], before: str) -> None:
        for pattern in patterns:
            route = before + str(pattern.pattern)
            if isinstance(pattern, URLResolver):
                walk(pattern.url_patterns, route)
            elif isinstance(pattern, URLPattern) and "(?P" not in route and "^" not in route:
                found.append(filled(route, cast))

    walk(get_resolver().url_patterns, "/")
    return sorted({one for one in found if not one.startswith(LEFT_OUT)})


def filled(route: str, cast: Cast) -> str:
    for start, row in (
        ("clients/", cast.client), ("sites/", cast.site), ("changes/", cast.change), ("zones/", cast.zone),
        ("controllers/", cast.controller),
    ):  # fmt: skip
        for name in ("pk", "id", "access_pk"):
            route = route.replace(f"{start}<int:{name}>", f"{start}{row.pk}")
    route = route.replace("<month:month>", f"{TODAY:%Y-%m}")
    while "<" in route:
        route = route[: route.index("<")] + "1" + route[route.index(">") + 1 :]
    return route


@pytest.fixture
def web(owner: Client) -> Client:
    owner.raise_request_exception = False
    return owner


def broken(web: Client, address: str, query: dict[str, Any], **how: Any) -> list[str]:
    answer = web.get(address, query, **how)
    if answer.streaming:
        answer.streaming_content = [b"".join(answer.streaming_content)]  # type: ignore[arg-type]
    short = {name: str(value)[:30] for name, value in query.items()}
    return [f"{address} {short}: {answer.status_code}"] if answer.status_code >= 500 else []


def test_no_address_breaks_on_nonsense(web: Client, cast: Cast):
    """Every address gets nonsense under every name, another with every address, and once more shifted."""
    found: list[str] = []
    for number, address in enumerate(addresses(cast)):
        for at in (0, 9):
            query = {name: NONSENSE[(n * 7 + at + number) % len(NONSENSE)] for n, name in enumerate(NAMES)}
            found += broken(web, address, query)
    assert found == []


@pytest.mark.parametrize("nonsense", [["2026-07-01", "x"]])
def test_no_address_breaks_on_a_name_given_twice_or_an_odd_content_type(web: Client, cast: Cast, nonsense):
    found: list[str] = []
    for address in addresses(cast):
        found += broken(web, address, dict.fromkeys(NAMES, nonsense), CONTENT_TYPE="application/x-nonsense")
    assert found == []


def test_dates_at_the_ends_of_the_calendar(web: Client, cast: Cast):
    """One at a time, so that no other wrong value hides what they do."""
    pages = [
        a for a in addresses(cast) if any(word in a for word in ("savings", "history", "changes/", "week"))
    ]
    assert len(pages) > 5
    found: list[str] = []
    for address in pages:
        for name in ("from", "to", "year"):
            for value in ("0001-01-01", "9999-12-31", "0"):
                found += broken(web, address, {name: value})
    assert found == []
