"""Who may read a client's sites; what was done to it is kept with the rows, for the back office."""

from typing import Any

from django.db.models import Case, Exists, F, OuterRef, QuerySet, Value, When

from fleet.models import Client, ClientAccess, Membership
from fleet.tenancy import TenantQuerySet


def readers() -> TenantQuerySet[Any]:
    """Return people with the clients they may read, and as ``known_as`` the name that is a company's to tell.

    A person may be known elsewhere too; what another company wrote down about them stays there.
    """
    elsewhere = Membership.objects.filter(user=OuterRef("user")).exclude(company=OuterRef("client__company"))
    reads = ClientAccess.objects.filter(user=OuterRef("user")).exclude(
        client__company=OuterRef("client__company")
    )
    return ClientAccess.objects.annotate(
        known_as=Case(When(Exists(elsewhere) | Exists(reads), then=Value("")), default=F("user__name"))
    )


def readers_of(client: Client) -> QuerySet[Any]:
    """Return the people who may read a client."""
    return readers().filter(client=client).select_related("user").order_by("user__email")
