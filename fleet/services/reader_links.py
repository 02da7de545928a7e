"""The link by which somebody who may read a client gets into an account nobody held before."""

from collections.abc import Iterable
from datetime import timedelta

from django.utils import timezone as real_time

from fleet.models import Client, Invitation, User
from fleet.selectors.people import unclaimed
from fleet.services.people import LINK_DAYS


def reader_link(*, client: Client, by: User, user: User) -> Invitation | None:
    """Make the link for a reader, None for one who signs in already; an older open link stops working.

    To be called in a transaction, by whoever may manage the client.
    """
    if not unclaimed(user, client.company_id):
        return None
    now = real_time.now()
    links = Invitation.objects.filter(company=client.company_id, email=user.email)
    links.filter(used_at=None, withdrawn_at=None).update(withdrawn_at=now)
    return Invitation.objects.create(
        company_id=client.company_id,
        client=client,
        email=user.email,
        by=by,
        expires_at=now + timedelta(days=LINK_DAYS),
    )


def open_links(company_id: int, emails: Iterable[str]) -> list[Invitation]:
    """Return the readers' links that still open something, for some addresses, in one query."""
    return list(
        Invitation.objects.filter(
            company=company_id,
            client__isnull=False,
            email__in=list(emails),
            used_at=None,
            withdrawn_at=None,
            expires_at__gt=real_time.now(),
        )
    )
