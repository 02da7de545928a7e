"""Opening a client's access in one go: the day, and everybody who may read."""

from collections.abc import Sequence
from datetime import date

from django.db import transaction

from common.errors import Refused
from fleet.models import Client, ClientAccess, User
from fleet.services.client_access import add_reader, seen_access, set_access

MOST_READERS = 50


@transaction.atomic
def open_access(*, client: Client, by: User, access_from: date | None, readers: Sequence[str] = ()) -> Client:
    """Open a client's access from a day on, or close it, and let people read; who may already stays.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office of the company.
    Refused
        If the day can't be, or an address isn't one; ``field`` is ``access_from`` or ``readers``.
    """
    if len(readers) > MOST_READERS:
        raise Refused(f"{MOST_READERS} people at the most.", field="readers")
    try:
        current = set_access(client=client, by=by, access_from=access_from, seen=seen_access(client))
    except Refused as refused:
        raise Refused(refused.message, field="access_from") from None
    have = set(ClientAccess.objects.filter(client=client).values_list("user__email", flat=True))
    for email in dict.fromkeys(address.strip().lower() for address in readers):
        if email in have:
            continue
        try:
            add_reader(client=current, by=by, email=email)
        except Refused as refused:
            raise Refused(f"{email[:60]}: {refused.message}", field="readers") from None
    return current
