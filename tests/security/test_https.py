"""Behind https the service says so: asked in a process of its own, for settings are read once."""

import json
import os
import subprocess
import sys
from typing import Any

import pytest

from config.settings import BASE_DIR

ASK = """
import json, django
django.setup()
from django.conf import settings
from django.test import Client
plain = Client().get("/sign-in/", headers={"host": "office.example"})
browser = Client(headers={"host": "office.example", "x-forwarded-proto": "https"})
secure = browser.get("/sign-in/")
cookie = secure.cookies["csrftoken"]
print(json.dumps({
    "plain": [plain.status_code, plain.headers.get("Location")],
    "secure": [secure.status_code, secure.headers.get("Strict-Transport-Security")],
    "form cookie": [bool(cookie["secure"]), cookie["samesite"]],
    "session": [getattr(settings, f"SESSION_COOKIE_{name}") for name in ("SECURE", "HTTPONLY", "SAMESITE")],
}))
"""


def asked(https: str) -> dict[str, Any]:
    environment = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("BLUESTEM_", "DJANGO_", "DATABASE_", "CELERY_"))
    }
    environment |= {
        "DJANGO_SETTINGS_MODULE": "config.settings",
        "BLUESTEM_ENV_FILE": "",
        "BLUESTEM_SECRET_KEY": "only-for-tests-" + "x" * 40,
        "BLUESTEM_HOSTS": "office.example",
        "BLUESTEM_HTTPS": https,
        "BLUESTEM_DEMO": "1",  # files as they lie, not as collected for an installation
        "DATABASE_URL": "sqlite://:memory:",
    }
    done = subprocess.run(
        [sys.executable, "-c", ASK],
        cwd=BASE_DIR,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return found


@pytest.fixture(scope="module")
def behind_https() -> dict[str, Any]:
    return asked("1")


def test_plain_requests_are_sent_to_https(behind_https):
    assert behind_https["plain"] == [301, "https://office.example/sign-in/"]


def test_browsers_are_told_to_stay_there_for_a_year(behind_https):
    assert behind_https["secure"] == [200, "max-age=31536000; includeSubDomains; preload"]


def test_cookies_travel_over_https_alone(behind_https):
    assert behind_https["form cookie"] == [True, "Lax"]
    assert behind_https["session"] == [True, True, "Lax"]


def test_without_it_nothing_is_promised():
    found = asked("0")
    assert found["plain"] == [200, None]
    assert found["secure"] == [200, None]
    assert found["form cookie"] == [False, "Lax"]
