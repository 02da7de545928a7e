"""A misconfiguration is told with its id, the setting to change and what to set it to."""

from datetime import date
from pathlib import Path

import pytest
from django.conf import LazySettings
from django.core import checks as registry

from config import checks


def told(check, fragment: str = "", **kwargs) -> list[str]:
    messages = check(app_configs=None, **kwargs)
    assert all(fragment in message.hint for message in messages)
    return [message.id for message in messages]


def test_every_check_is_registered():
    names = {check.__name__ for check in registry.registry.registry.get_checks()}
    assert {
        "secret_key",
        "weather_source",
        "numbers_in_range",
        "folder_of_the_database",
        "in_the_open",
        "where_photos_lie",
        "the_day_stands_still",
        "time_zones",
    } <= names


def test_the_tests_own_settings_are_in_order():
    for check in (
        checks.secret_key,
        checks.weather_source,
        checks.numbers_in_range,
        checks.folder_of_the_database,
        checks.in_the_open,
        checks.where_photos_lie,
        checks.the_day_stands_still,
        checks.time_zones,
    ):
        assert told(check) == []


@pytest.mark.parametrize(
    ("key", "debug", "ids"),
    [
        ("", False, ["bluestem.E001"]),
        ("", True, ["bluestem.E001"]),
        ("short", False, ["bluestem.W001"]),
        ("short", True, []),
        ("x" * 50, False, []),
    ],
)
def test_a_missing_or_short_secret_key(monkeypatch, key, debug, ids):
    other = LazySettings()
    other.configure(SECRET_KEY=key, DEBUG=debug)
    monkeypatch.setattr(checks, "settings", other)
    assert told(checks.secret_key, "BLUESTEM_SECRET_KEY") == ids


def test_a_weather_source_nobody_wrote(settings):
    settings.WEATHER_SOURCE = "almanac"
    assert told(checks.weather_source, "open-meteo") == ["bluestem.E002"]


@pytest.mark.parametrize(
    ("setting", "value", "variable"),
    [
        ("NIGHTLY_HOUR", 24, "BLUESTEM_NIGHTLY_HOUR"),
        ("SKIP_CHECK_HOUR", -1, "BLUESTEM_SKIP_CHECK_HOUR"),
        ("TOKEN_DAYS", 0, "BLUESTEM_TOKEN_DAYS"),
        ("OPEN_METEO_BATCH", 0, "BLUESTEM_OPEN_METEO_BATCH"),
        ("OPEN_METEO_LIMITS", {"minute": 1, "hour": 0, "day": 1}, "BLUESTEM_OPEN_METEO_PER_HOUR"),
    ],
)
def test_a_number_out_of_range(settings, setting, value, variable):
    setattr(settings, setting, value)
    assert told(checks.numbers_in_range, variable) == ["bluestem.E003"]


def test_a_database_in_a_folder_that_does_not_exist(monkeypatch, tmp_path: Path):
    database = {"ENGINE": "django.db.backends.sqlite3", "NAME": str(tmp_path / "var" / "x.sqlite3")}
    other = LazySettings()
    other.configure(DATABASES={"default": database})
    monkeypatch.setattr(checks, "settings", other)
    check, hint = checks.folder_of_the_database, f"mkdir -p {tmp_path / 'var'}"
    assert told(check) == []
    assert told(check, hint, databases=["default"]) == ["bluestem.E004"]
    (tmp_path / "var").mkdir()
    assert told(check, databases=["default"]) == []
    database |= {"ENGINE": "django.db.backends.postgresql", "NAME": "bluestem"}
    assert told(check, databases=["default"]) == []


def test_what_is_unsafe_where_others_reach_it(settings):
    settings.ALLOWED_HOSTS = ["water.example.com"]
    assert told(checks.in_the_open, "BLUESTEM_HTTPS") == ["bluestem.W002"]
    settings.HTTPS = True
    assert told(checks.in_the_open) == []
    settings.DEBUG = True
    assert told(checks.in_the_open, "BLUESTEM_DEBUG") == ["bluestem.E005"]
    settings.DEBUG, settings.ALLOWED_HOSTS = False, ["*"]
    assert told(checks.in_the_open, "BLUESTEM_HOSTS") == ["bluestem.W003"]


def test_a_day_that_stands_still_outside_a_demonstration(settings):
    settings.AS_OF = date(2026, 7, 6)
    assert told(checks.the_day_stands_still, "BLUESTEM_AS_OF") == ["bluestem.W004"]
    settings.DEMO = True
    assert told(checks.the_day_stands_still) == []


def test_a_machine_without_time_zones(monkeypatch):
    monkeypatch.setattr(checks, "available_timezones", set)
    assert told(checks.time_zones, "tzdata") == ["bluestem.E006"]


@pytest.mark.parametrize(
    ("media", "ids"),
    [
        ("var/media", []),
        ("var/staticfiles-not", []),
        ("var/staticfiles", ["bluestem.E007"]),
        ("var/staticfiles/photos", ["bluestem.E007"]),
        ("var/x/../staticfiles/photos", ["bluestem.E007"]),
        ("build/static/photos", ["bluestem.E007"]),
    ],
)
def test_photos_may_not_lie_where_files_are_served(settings, tmp_path, media, ids):
    settings.STATIC_ROOT = tmp_path / "var" / "staticfiles"
    settings.STATICFILES_DIRS = [tmp_path / "build" / "static"]
    settings.MEDIA_ROOT = tmp_path / media
    assert told(checks.where_photos_lie, "BLUESTEM_MEDIA") == ids
