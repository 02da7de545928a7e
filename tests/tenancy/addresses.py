"""Every address there is, its arguments filled with the number all rows of one company have."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver
from django.urls.converters import IntConverter

from tests.cast import TODAY

ID = 777_001
MONTH = f"{TODAY:%Y-%m}"
METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE")
BACKEND = "django.contrib.auth.backends.ModelBackend"
MARK = "Nightjar"  # in every name of the company asked about
# Addresses that need no company: they lead to the back office, which lets only its keepers in.
BACK_OFFICE = "/back-office/"
# Addresses that whoever was handed them may open; tests/desk/test_welcome.py says when they do.
HANDED_OVER = "/welcome/"


@dataclass
class Address:
    """One pattern, with its arguments filled in."""

    route: str
    url: str
    names: list[str] = field(default_factory=list)


def argument(route: str, name: str, converter: Any) -> str:
    """Return what to put in the place of an argument."""
    if name == "month":
        return MONTH
    if isinstance(converter, IntConverter) or route.startswith(BACK_OFFICE):
        return str(ID)
    if route.startswith(HANDED_OVER):
        return f"{ID}:forged"
    raise AssertionError(f"Teach this test what to put for {name} in {route}.")


def addresses(patterns: list[Any], before: str = "/") -> Iterator[Address]:
    for pattern in patterns:
        text = str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from addresses(pattern.url_patterns, before + text)
        elif isinstance(pattern, URLPattern):
            yield filled(before + text, pattern)


def filled(route: str, pattern: URLPattern) -> Address:
    converters = dict(pattern.pattern.converters)
    url = re.sub(r"\(\?P<\w+>[^)]*\)", str(ID), route.replace("<month:month>", MONTH))
    url = url.replace("^", "").replace("$", "").replace("\\Z", "")
    for name, converter in converters.items():
        for written in (f"<int:{name}>", f"<path:{name}>", f"<str:{name}>", f"<{name}>"):
            url = url.replace(written, argument(route, name, converter))
    regex_names = set(pattern.pattern.regex.groupindex) - set(converters)
    for name in regex_names:
        argument(route, name, None)
    return Address(route, url, [*converters, *regex_names])


def everything() -> list[Address]:
    return list(addresses(get_resolver().url_patterns))


def with_numbers() -> list[Address]:
    numbered = [a for a in everything() if set(a.names) - {"month"}]  # a month is nobody's row
    return [a for a in numbered if not a.url.startswith((BACK_OFFICE, HANDED_OVER))]
