from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from fleet.models import User
from tests.cast import Cast, api, cast, change, on_the_day, person, stranger

__all__ = ["api", "cast", "change", "on_the_day", "stranger"]

Address = Callable[..., str]


@pytest.fixture
def keeper_person(cast: Cast) -> User:
    """Whoever keeps the installation."""
    return person("keeper@bluestem.test", is_staff=True, is_superuser=True)


@pytest.fixture
def keeper(keeper_person: User) -> Client:
    """The keeper's browser."""
    browser = Client()
    browser.force_login(keeper_person, backend="django.contrib.auth.backends.ModelBackend")
    return browser


def address(model: Any, page: str, *args: Any) -> str:
    return reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_{page}", args=args)


@pytest.fixture(scope="session")
def httpserver_listen_address():
    return "127.0.0.1", 0
