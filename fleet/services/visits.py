"""A visit was made."""

from datetime import date

from django.db import transaction
from django.utils import timezone

from common.errors import Refused
from fleet.models import User, Visit
from fleet.selectors.people import require_enter
from fleet.services.holding import held


def visit_done(*, visit: Visit, by: User, on: date) -> tuple[Visit, bool]:
    """Tick a visit done, and tell whether it wasn't already.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If the visit is planned for a later day.
    Gone
        If it was taken off meanwhile.
    """
    require_enter(by, visit.site.client.company_id)
    if visit.date > on:
        raise Refused("This visit is planned for a later day.", field="visit")
    with transaction.atomic():
        row = held(visit)
        if row.done_at is not None:
            return row, False
        row.done_at = timezone.now()
        row.save(update_fields=["done_at"])
    return row, True
