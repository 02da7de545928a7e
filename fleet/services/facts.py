"""Facts a technician brings from the garden: how dry the soil is, and that a zone needs less or more."""

from datetime import date

from common.errors import Refused
from fleet.models import SoilObservation, User, Zone, ZoneTrim
from fleet.selectors.people import require_enter
from fleet.services.put_fact import Put, put_fact

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
SOIL_SHOWN = ("depletion_share", "how")
TRIM_SHOWN = ("factor", "reason")


def note_soil(*, zone: Zone, by: User, on: date, probed: str, seen: str = "") -> Put[SoilObservation]:
    """Store how the soil was found on a morning; a second look on the same day replaces the first.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If ``probed`` is none of ``PROBED``.
    MovedOn
        If somebody else noted something else than ``seen`` today.
    """
    require_enter(by, zone.controller.site.client.company_id)
    if probed not in PROBED:
        raise Refused("Pick how the probe felt.", field="probed")
    words, share = PROBED[probed]
    return put_fact(
        SoilObservation,
        key={"zone": zone, "date": on},
        values={"depletion_share": share, "how": f"probe: {words}", "by": by},
        shown=SOIL_SHOWN,
        seen=seen,
    )


def trim_zone(*, zone: Zone, by: User, on: date, trim: str, reason: str, seen: str = "") -> Put[ZoneTrim]:
    """Correct what a zone needs from a day on, by a step of ten or twenty percent of its table value.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If ``trim`` is none of ``TRIMS``, or the reason is missing or too long.
    MovedOn
        If somebody else made another correction than ``seen`` today.
    """
    require_enter(by, zone.controller.site.client.company_id)
    reason = reason.strip()
    if trim not in TRIMS:
        raise Refused("Pick how much less or more.", field="trim")
    if not reason or len(reason) > REASON_MAX:
        raise Refused(f"Say why in a few words, {REASON_MAX} characters at the most.", field="reason")
    return put_fact(
        ZoneTrim,
        key={"zone": zone, "effective_from": on},
        values={"factor": TRIMS[trim][1], "reason": reason, "by": by},
        shown=TRIM_SHOWN,
        seen=seen,
    )
