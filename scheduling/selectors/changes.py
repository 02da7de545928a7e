"""Changes as pages and the API read them."""

from typing import Any

from fleet.tenancy import TenantQuerySet
from scheduling.models import Change

RELATIONS = (
    "program__controller__site__client__company",
    "deciding_zone",
    "decided_by",
)


def changes_for(user: Any) -> TenantQuerySet[Change]:
    """Return the changes a person may see, with what every list of them shows, without the bulky inputs."""
    return Change.objects.visible_to(user).select_related(*RELATIONS).defer("inputs")
