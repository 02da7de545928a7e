"""The summaries a reader may see: those that were sent, of clients whose access is open to them."""

from django.db.models import QuerySet

from fleet.models import Letter, User
from reports.models import Summary


def sent_to(user: User) -> QuerySet[Summary]:
    """Return the summaries that went out to a client the person reads, the newest first."""
    return (
        Summary.objects.filter(
            client__in=user.open_client_ids(),
            state=Summary.State.APPROVED,
            letters__state=Letter.State.SENT,
        )
        .select_related("client__company")
        .distinct()
        .order_by("-month", "client__name")
    )
