"""What a technician entered just now and may still take back."""

from datetime import timedelta
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from scheduling.models import FieldEntry, NightlyRun

UNDO_FOR = timedelta(minutes=60)
MANY = 10


def used_by_a_night() -> Exists:
    """Return the condition that a night, or its afternoon check, began after an entry was made."""
    since = Q(started_at__gt=OuterRef("at")) | Q(skip_check_at__gt=OuterRef("at"))
    return Exists(NightlyRun.objects.filter(since, timezone=OuterRef("site__timezone")))


def just_entered(user: Any, company_id: int) -> QuerySet[FieldEntry]:
    """Return a person's own entries that can be taken back, newest first."""
    return (
        FieldEntry.objects.visible_to(user)
        .of_company(company_id)
        .filter(~used_by_a_night(), by=user, taken_back_at=None, at__gt=timezone.now() - UNDO_FOR)
        .select_related("site")[:MANY]
    )
