"""Something broken that a technician came across, and that it was mended."""

from datetime import date

from django.db import transaction

from common.errors import Gone, Refused
from fleet.models import Finding, User, Zone
from fleet.selectors.people import require_enter
from fleet.services.holding import held

PARTS = ("head", "nozzle", "valve", "pipe", "drip emitter", "wire", "controller", "pump", "something else")
NOTE_MAX = 200
MOST_L_DAY = 1_000_000.0


def report_finding(
    *, zone: Zone, by: User, on: date, part: str, note: str = "", lost_l_day: float | None = None
) -> tuple[Finding, bool]:
    """Store that something is broken at a zone; the same said twice on one day is one finding.

    Returns
    -------
    Finding, bool
        The finding and whether it is new.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If the part isn't one of ``PARTS``, the note too long or the loss impossible.
    Gone
        If the zone was removed meanwhile.
    """
    require_enter(by, zone.controller.site.client.company_id)
    note = note.strip()
    if part not in PARTS:
        raise Refused("Pick what is broken.", field="part")
    if len(note) > NOTE_MAX:
        raise Refused(f"Keep the note under {NOTE_MAX} characters.", field="note")
    if lost_l_day is not None and not 0.0 <= lost_l_day <= MOST_L_DAY:
        raise Refused("That is more water than a zone can lose in a day.", field="lost")
    said = {"zone": zone, "part": part, "note": note, "found_on": on, "lost_l_day": lost_l_day}
    with transaction.atomic():
        # Holding the zone makes the second of two who say so at once wait and find the first one's row.
        held = Zone.objects.order_by().select_for_update(no_key=True).filter(pk=zone.pk).values_list("pk")
        if not held.first():
            raise Gone("This zone is gone by now.")
        same = Finding.objects.filter(**said, status=Finding.Status.OPEN).first()
        return (same, False) if same is not None else (Finding.objects.create(**said), True)


def mend(*, finding: Finding, by: User) -> tuple[Finding, bool]:
    """Close a finding; the second of two people who do is told by ``False`` that it was closed already."""
    require_enter(by, finding.zone.controller.site.client.company_id)
    with transaction.atomic():
        row = held(finding)
        if row.status == Finding.Status.MENDED:
            return row, False
        row.status = Finding.Status.MENDED
        row.save(update_fields=["status"])
    return row, True
