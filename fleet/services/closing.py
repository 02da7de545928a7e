"""Closing doors: a client's view of their sites, a person's way in."""

from collections.abc import Iterable

from django.db import transaction
from knox.models import get_token_model

from common.errors import Refused
from fleet.models import Client, User


@transaction.atomic
def close_access(*, clients: Iterable[Client]) -> int:
    """Let nobody read these clients' sites until access is opened again; return how many were open."""
    closed = 0
    for client in clients:
        if client.access_from is not None:
            client.access_from = None
            client.save(update_fields=["access_from"])
            closed += 1
    return closed


@transaction.atomic
def stop_signing_in(*, people: Iterable[User], by: User) -> int:
    """Make people inactive and give up their tokens; return how many tokens that were.

    Raises
    ------
    Refused
        If somebody would shut themselves out.
    """
    stopped = list(people)
    if by in stopped:
        raise Refused("You can't stop yourself signing in.")
    for person in stopped:
        person.is_active = False
        person.save(update_fields=["is_active"])
    tokens, _ = get_token_model().objects.filter(user__in=stopped).delete()
    return tokens
