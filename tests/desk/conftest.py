from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from fleet.models import User
from tests.cast import Cast, cast, change, on_the_day, stranger

__all__ = ["cast", "change", "on_the_day", "stranger"]

SignedIn = Callable[[User], Client]

# What pages say and refuse doesn't hang on the database: every page is opened on PostgreSQL by tests/tenancy,
# and what they store goes through services tested there. These ask in ways that databases answer differently.
ASKED = {
    "client_access", "clients_list", "deciding_on_the_sheet", "history", "nonsense_in_addresses", "opening",
    "reader_links", "search", "towns",
}  # fmt: skip


@pytest.hookimpl(tryfirst=True)  # before pytest leaves out what -m doesn't want
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Leave tests of words out of the run on PostgreSQL."""
    for item in items:
        if item.path.parent.name == "desk" and item.path.stem.removeprefix("test_") not in ASKED:
            item.add_marker(pytest.mark.sqlite)


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
