from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from fleet.models import User
from tests.cast import Cast, cast, change, on_the_day, stranger

__all__ = ["cast", "change", "on_the_day", "stranger"]

SignedIn = Callable[[User], Client]


@pytest.fixture
def signed_in() -> SignedIn:
    """Return a browser somebody is signed in with."""

    def browser(user: User, **options: Any) -> Client:
        client = Client(**options)
        client.force_login(user)
        return client

    return browser


@pytest.fixture
def owner(cast: Cast, signed_in: SignedIn) -> Client:
    return signed_in(cast.owner)


@pytest.fixture
def technician(cast: Cast, signed_in: SignedIn) -> Client:
    return signed_in(cast.technician)
