"""Catch-can audits: stored as read from the cans, and taken into the survey of their zone."""

import datetime as dt
from typing import Any

from django.db import transaction

from common import clock
from common.errors import MovedOn, Refused
from fleet.models import CanAudit, User, Zone
from fleet.selectors.people import require_enter
from fleet.services.measured import EVENNESS, RATE, put_back, take_measured
from fleet.services.storing import store
from fleet.tenancy import company_id_of

FIELDS = ("minutes", "throat_cm2", "volumes_ml", "wind_m_s", "note", "by")


@transaction.atomic
def audit_cans(*, zone: Zone, by: User, date: dt.date, **read: Any) -> CanAudit:
    """Store what was read from the cans; the same read twice on one day is one audit.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If the day is still to come.
    ValidationError
        If a value can't be.
    """
    require_enter(by, company_id_of(zone))
    if date > clock.today(zone.controller.site.timezone):
        raise Refused("That day is still to come.", field="date")
    Zone.objects.select_for_update().get(pk=zone.pk)  # two taps at once: one after the other
    said = read | {"by": by}
    for same in CanAudit.objects.filter(zone=zone, date=date, by=by):
        if all(getattr(same, name, None) == value for name, value in said.items()):
            return same
    audit = CanAudit(zone=zone, date=date)
    store(audit, fields=said, may_set=FIELDS, once="date")
    return audit


@transaction.atomic
def edit_audit(*, audit: CanAudit, by: User, **fields: Any) -> CanAudit:
    """Set an audit right that isn't in the survey; it stays with its zone and day; else as ``audit_cans``."""
    require_enter(by, company_id_of(audit))
    if in_survey(audit):
        raise MovedOn("The survey uses this audit. Put the survey back first.", current_status="used")
    store(audit, fields=fields, may_set=FIELDS, once="date")
    return audit


def wrote_of(audit: CanAudit) -> dict[str, Any]:
    """Return what an audit writes into the survey."""
    found = audit.found
    return {RATE: round(found.rate_mm_h, 4), EVENNESS: round(found.low_quarter, 4)}


def in_survey(audit: CanAudit) -> bool:
    """Tell whether the survey of the zone says what an audit found."""
    says = all(getattr(audit.zone, name) == value for name, value in wrote_of(audit).items())
    return audit.replaced is not None and says


@transaction.atomic
def use_audit(*, audit: CanAudit, by: User) -> CanAudit:
    """Take rate and low-quarter uniformity of an audit into the survey of its zone, as measured.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    ValidationError
        If the survey can't take the values: a rate beyond any head, or heads so uneven that nothing helps.
    """
    require_enter(by, company_id_of(audit))
    held = CanAudit.objects.select_for_update().select_related("zone").get(pk=audit.pk)
    if not in_survey(held):
        held.replaced = take_measured(held.zone, **wrote_of(held))
        held.save(update_fields=["replaced"])
    audit.refresh_from_db()
    return held


@transaction.atomic
def unuse_audit(*, audit: CanAudit, by: User) -> CanAudit:
    """Put back what the survey said before an audit was taken into it.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    MovedOn
        If the survey was changed again since.
    """
    require_enter(by, company_id_of(audit))
    held = CanAudit.objects.select_for_update().select_related("zone").get(pk=audit.pk)
    if held.replaced is not None:
        put_back(held.zone, held.replaced, wrote_of(held))
        held.replaced = None
        held.save(update_fields=["replaced"])
    audit.refresh_from_db()
    return held
