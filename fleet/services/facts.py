"""Facts a technician brings from the garden: how dry the soil is, and that a zone needs less or more."""

from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction

from common.errors import Refused
from fleet.models import SoilObservation, User, Zone, ZoneTrim
from fleet.selectors.people import require_enter

# What a probe's feel stands for as a share of the available water that is gone. Our own mapping, after the
# feel method that extension services teach (wet ribbon, cool and moist, dry on top, dry through).
PROBED = {
    "wet": ("wet all through", 0.05),
    "moist": ("moist all through", 0.30),
    "dry_top": ("dry on top, moist below", 0.55),
    "dry": ("dry all through", 0.90),
}
TRIMS = {
    "much_less": ("a fifth less", 0.8),
    "less": ("a tenth less", 0.9),
    "more": ("a tenth more", 1.1),
    "much_more": ("a fifth more", 1.2),
}
REASON_MAX = 200


def note_soil(*, zone: Zone, by: User, on: date, probed: str) -> SoilObservation:
    """Store how the soil was found on a morning; a second look on the same day replaces the first.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If ``probed`` is none of ``PROBED``.
    """
    require_enter(by, zone.controller.site.client.company_id)
    if probed not in PROBED:
        raise Refused("Pick how the probe felt.", field="probed")
    words, share = PROBED[probed]
    row, _ = SoilObservation.objects.update_or_create(
        zone=zone, date=on, defaults={"depletion_share": share, "how": f"probe: {words}", "by": by}
    )
    return row


def trim_zone(*, zone: Zone, by: User, on: date, trim: str, reason: str) -> ZoneTrim:
    """Correct what a zone needs from a day on, by a step of ten or twenty percent of its table value.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If ``trim`` is none of ``TRIMS``, or the reason is missing or too long.
    """
    require_enter(by, zone.controller.site.client.company_id)
    reason = reason.strip()
    if trim not in TRIMS:
        raise Refused("Pick how much less or more.", field="trim")
    if not reason or len(reason) > REASON_MAX:
        raise Refused(f"Say why in a few words, {REASON_MAX} characters at the most.", field="reason")
    with transaction.atomic():
        row, _ = ZoneTrim.objects.update_or_create(
            zone=zone, effective_from=on, defaults={"factor": TRIMS[trim][1], "reason": reason, "by": by}
        )
        try:
            row.full_clean(validate_unique=False, validate_constraints=False)
        except ValidationError as error:
            raise Refused("; ".join(error.messages), field="reason") from error
    return row
