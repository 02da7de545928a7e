"""The demo, loaded once a module and taken back with it."""

from collections.abc import Iterator

import pytest
from django.db import transaction

from scheduling.demo.loading import Loaded, load


@pytest.fixture(scope="module")
def demo(django_db_setup: None, django_db_blocker) -> Iterator[Loaded]:
    """Load the demo for the tests of one module, in a transaction that is rolled back at its end."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield load()
        transaction.set_rollback(True)
