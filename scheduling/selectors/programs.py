"""Programs as pages and the API read them: every version, and which one came after it."""

from typing import Any

from django.db.models import Min, OuterRef, Subquery

from fleet.tenancy import TenantQuerySet
from scheduling.models import Program


def programs_for(user: Any) -> TenantQuerySet[Any]:
    """Return the versions a person may see, with the night another took its place from, ``replaced_on``."""
    later = (
        Program.objects.filter(
            controller=OuterRef("controller"), letter=OuterRef("letter"), effective__gt=OuterRef("effective")
        )
        .order_by()
        .values("letter")
        .annotate(first=Min("effective"))
        .values("first")
    )
    return Program.objects.visible_to(user).annotate(replaced_on=Subquery(later))
