"""Nights without water that people set by hand."""

from datetime import date, timedelta
from typing import Any

from django.db import transaction

from common import clock
from common.errors import InUse, MovedOn, Refused
from fleet.models import User
from fleet.selectors.people import require_set_up
from fleet.services.storing import store
from fleet.tenancy import company_id_of
from scheduling.models import Program, Skip

LONGEST = timedelta(days=366)
FIELDS = ("effective_from", "effective_to", "reason")


@transaction.atomic
def set_skip(*, program: Program, by: User, effective_from: date, effective_to: date, reason: str) -> Skip:
    """Let a program leave nights out, the first and the last included.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office.
    Refused
        If the nights can't be.
    """
    require_set_up(by, company_id_of(program))
    skip = Skip(program=program)
    _write(skip, {"effective_from": effective_from, "effective_to": effective_to, "reason": reason})
    return skip


@transaction.atomic
def edit_skip(*, skip: Skip, by: User, **fields: Any) -> Skip:
    """Set a skip right, or end it earlier or later; raises as ``set_skip``, and MovedOn if it was decided."""
    require_set_up(by, company_id_of(skip))
    if skip.change_id is not None:
        raise MovedOn("This skip was entered as decided; it stays.", current_status="decided")
    _write(skip, fields)
    return skip


@transaction.atomic
def remove_skip(*, skip: Skip, by: User) -> None:
    """Take a skip back whose nights are still to come; InUse otherwise."""
    require_set_up(by, company_id_of(skip))
    if skip.change_id is not None:
        raise InUse("This skip was entered as decided; it stays.")
    if skip.effective_from < clock.today(skip.program.controller.site.timezone):
        raise InUse("Its first night is over; end it with an earlier last night instead.")
    skip.delete()


def _write(skip: Skip, fields: dict[str, Any]) -> None:
    first = fields.get("effective_from", skip.effective_from)
    last = fields.get("effective_to", skip.effective_to)
    if first < skip.program.effective:
        raise Refused(f"This program only exists from {skip.program.effective} on.", field="effective_from")
    if last < first:
        raise Refused("The last night lies before the first.", field="effective_to")
    if last - first > LONGEST:
        raise Refused("That is more than a year.", field="effective_to")
    store(skip, fields=fields, may_set=FIELDS, once="effective_from")
