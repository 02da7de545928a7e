"""A visit was made."""

from datetime import date

from django.db import transaction
from django.utils import timezone

from common.errors import MovedOn, Refused
from fleet.models import User, Visit
from fleet.selectors.people import require_enter


def visit_done(*, visit: Visit, by: User, on: date) -> tuple[Visit, bool]:
    """Tick a visit done, and tell whether it wasn't already.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If the visit is planned for a later day.
    """
    require_enter(by, visit.site.client.company_id)
    if visit.date > on:
        raise Refused("This visit is planned for a later day.", field="visit")
    with transaction.atomic():
        row = Visit.objects.select_for_update().filter(pk=visit.pk).first()
        if row is None:
            raise MovedOn("This visit is gone by now.", current_status="gone")
        if row.done_at is not None:
            return row, False
        row.done_at = timezone.now()
        row.save(update_fields=["done_at"])
    return row, True
