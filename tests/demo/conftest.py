"""The demo, loaded once for all its tests, which run on one worker, and taken back with them."""

from collections.abc import Iterator

import pytest
from django.db import transaction

from scheduling.demo.loading import Loaded, load


@pytest.fixture(scope="package")
def demo(django_db_setup: None, django_db_blocker) -> Iterator[Loaded]:
    """Load the demo in a transaction that is rolled back after the last of its tests."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield load()
        transaction.set_rollback(True)
