"""Who may read a client's sites; what was done to it is kept with the rows, for the back office."""

from django.db.models import Exists, OuterRef, QuerySet

from fleet.models import Client, ClientAccess, Membership


def readers_of(client: Client) -> QuerySet[ClientAccess]:
    """Return the people who may read a client, each with whether their name is this company's to tell.

    A person may be known elsewhere too; what another company wrote down about them stays there.
    """
    elsewhere = Membership.objects.filter(user=OuterRef("user")).exclude(company=client.company_id)
    reads = ClientAccess.objects.filter(user=OuterRef("user")).exclude(client__company=client.company_id)
    return (
        ClientAccess.objects.filter(client=client)
        .select_related("user")
        .annotate(known_elsewhere=Exists(elsewhere) | Exists(reads))
        .order_by("user__email")
    )
