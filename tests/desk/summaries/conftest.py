from datetime import date
from typing import Any

import pytest

from fleet.models import Client, ClientAccess, User
from tests.fleet.letters.conftest import office
from tests.night.garden import ON, Garden, garden, weather

__all__ = ["office"]
MONTH = date(2026, 6, 1)


@pytest.fixture
def heron(db: None, settings: Any, tmp_path: Any) -> Garden:
    """A garden whose June is over, with a reader who may look."""
    settings.AS_OF = ON
    settings.MEDIA_ROOT = tmp_path
    made = garden(minutes=45.0, zones=2, units="us", percent=90, days="daily")
    weather(made.cell, rain={date(2026, 6, 10): 9.0})
    readable(made.client, "reader@heron.test")
    return made


def readable(client: Client, email: str) -> User:
    """Open a client's access to somebody."""
    user = User.objects.create_user(email, "three herons at dawn", name="Ada Reed")
    ClientAccess.objects.create(user=user, client=client)
    client.access_from = date(2026, 5, 1)
    client.save()
    return user
