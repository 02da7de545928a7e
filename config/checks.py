"""Misconfiguration told before it hurts: ``manage.py check`` runs these, and every command before its work.

Errors (``bluestem.E...``) stop a command; warnings (``bluestem.W...``) are shown and let it run.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any
from zoneinfo import available_timezones

from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register
from django.core.exceptions import ImproperlyConfigured

AT_HOME = {"127.0.0.1", "localhost", "[::1]", "testserver"}
KEY_LENGTH = 50
KEY_HINT = "fifty or more random letters, as from: python -c 'import secrets; print(secrets.token_hex(32))'"


@register(Tags.security)
def secret_key(**kwargs: Any) -> list[CheckMessage]:
    """Sessions and tokens are only as safe as the key they are signed with."""
    try:
        key = settings.SECRET_KEY
    except ImproperlyConfigured:
        key = ""
    if not key:
        return [
            Error("There is no secret key.", hint=_set("BLUESTEM_SECRET_KEY", KEY_HINT), id="bluestem.E001")
        ]
    if len(key) < KEY_LENGTH and not settings.DEBUG:
        return [
            Warning(
                "The secret key is short.", hint=_set("BLUESTEM_SECRET_KEY", KEY_HINT), id="bluestem.W001"
            )
        ]
    return []


@register()
def weather_source(**kwargs: Any) -> list[CheckMessage]:
    """A source nobody has written would fail every night."""
    from weather.providers import SOURCES  # no app is loaded yet when this file is

    if settings.WEATHER_SOURCE in SOURCES:
        return []
    return [
        Error(
            f"There is no weather source {settings.WEATHER_SOURCE!r}.",
            hint=_set("BLUESTEM_WEATHER_SOURCE", f"one of {', '.join(SOURCES)}"),
            id="bluestem.E002",
        )
    ]


@register()
def numbers_in_range(**kwargs: Any) -> list[CheckMessage]:
    """Hours are hours, and nothing that is counted may be zero."""
    return [
        Error(f"{name} is {value}.", hint=_set(name, f"{low} to {high}"), id="bluestem.E003")
        for name, value, low, high in _numbers()
        if not low <= value <= high
    ]


@register(Tags.database)
def folder_of_the_database(databases: Any = None, **kwargs: Any) -> list[CheckMessage]:
    """SQLite makes the file but not the folder it is in, and its own message names neither."""
    if not databases:  # only a command that is about to use it needs it
        return []
    database = settings.DATABASES["default"]
    if not database["ENGINE"].endswith("sqlite3") or "memory" in str(database["NAME"]):
        return []
    folder = Path(database["NAME"]).parent
    if folder.is_dir():
        return []
    return [
        Error(f"The folder {folder} does not exist.", hint=f"Make it: mkdir -p {folder}", id="bluestem.E004")
    ]


@register(Tags.security)
def in_the_open(**kwargs: Any) -> list[CheckMessage]:
    """What is fine on one's own machine is not where others reach it."""
    if set(settings.ALLOWED_HOSTS) <= AT_HOME:
        return []
    found: list[CheckMessage] = []
    if settings.DEBUG:
        found.append(
            Error(
                "Others reach this service and debugging shows them its insides.",
                hint=_set("BLUESTEM_DEBUG", "false"),
                id="bluestem.E005",
            )
        )
    if not settings.HTTPS:
        found.append(
            Warning(
                "Passwords and tokens travel in the open.",
                hint=_set("BLUESTEM_HTTPS", "true, behind a server that speaks TLS"),
                id="bluestem.W002",
            )
        )
    if "*" in settings.ALLOWED_HOSTS:
        found.append(
            Warning(
                "Any host name is answered.",
                hint=_set("BLUESTEM_HOSTS", "the names it has"),
                id="bluestem.W003",
            )
        )
    return found


@register(Tags.security)
def where_photos_lie(**kwargs: Any) -> list[CheckMessage]:
    """Photos are the company's alone: they may not lie where files are served to anybody who asks."""
    media = Path(settings.MEDIA_ROOT).resolve()
    served = [Path(folder).resolve() for folder in (settings.STATIC_ROOT, *settings.STATICFILES_DIRS)]
    if not any(media == folder or folder in media.parents for folder in served):
        return []
    return [
        Error(
            f"Photos would lie in {media}, which is served to everybody.",
            hint=_set("BLUESTEM_MEDIA", "a folder of its own, such as var/media"),
            id="bluestem.E007",
        )
    ]


@register()
def the_day_stands_still(**kwargs: Any) -> list[CheckMessage]:
    """A fixed date is for demonstrations; anywhere else no night would ever come."""
    if settings.AS_OF is None or settings.DEMO:
        return []
    return [
        Warning(
            f"The service lives on {settings.AS_OF} and no other day.",
            hint="Leave BLUESTEM_AS_OF empty, or set BLUESTEM_DEMO if this is a demonstration.",
            id="bluestem.W004",
        )
    ]


@register()
def time_zones(**kwargs: Any) -> list[CheckMessage]:
    """Without zone data no site's day can begin."""
    if "America/Los_Angeles" in available_timezones():
        return []
    return [
        Error("This machine has no time zone data.", hint="Install the package tzdata.", id="bluestem.E006")
    ]


def _set(name: str, to: str) -> str:
    return f"Set {name}: {to}."


def _numbers() -> Iterator[tuple[str, int, int, int]]:
    yield "BLUESTEM_NIGHTLY_HOUR", settings.NIGHTLY_HOUR, 0, 23
    yield "BLUESTEM_SKIP_CHECK_HOUR", settings.SKIP_CHECK_HOUR, 0, 23
    yield "BLUESTEM_TOKEN_DAYS", settings.TOKEN_DAYS, 1, 3650
    yield "BLUESTEM_PHOTO_MB", settings.PHOTO_BYTES // 1_000_000, 1, 50
    yield "BLUESTEM_OPEN_METEO_BATCH", settings.OPEN_METEO_BATCH, 1, 1000
    for window, limit in settings.OPEN_METEO_LIMITS.items():
        yield f"BLUESTEM_OPEN_METEO_PER_{window.upper()}", limit, 1, 10**9
