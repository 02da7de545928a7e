"""What was seen of a zone, in figures: how dry its soil was, and by what its need is corrected."""

import datetime as dt
from typing import Any

from django.db import transaction

from common import clock
from common.errors import Refused
from fleet.models import SoilObservation, User, Zone, ZoneTrim
from fleet.selectors.people import require_enter
from fleet.services.storing import store
from fleet.tenancy import company_id_of

LATEST_AHEAD = dt.timedelta(days=31)
OF_SOIL = ("depletion_share", "how", "by")
OF_TRIM = ("factor", "reason", "by")


@transaction.atomic
def observe_soil(
    *, zone: Zone, by: User, date: dt.date, depletion_share: float, how: str = ""
) -> SoilObservation:
    """Store which share of the available water was gone on a morning.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If the morning is still to come, or an observation of it is there.
    ValidationError
        If a value can't be.
    """
    require_enter(by, company_id_of(zone))
    if date > clock.today(zone.controller.site.timezone):
        raise Refused("That morning is still to come.", field="date")
    observation = SoilObservation(zone=zone, date=date)
    said = {"depletion_share": depletion_share, "how": how, "by": by}
    store(observation, fields=said, may_set=OF_SOIL, once="date")
    return observation


@transaction.atomic
def edit_observation(*, observation: SoilObservation, by: User, **fields: Any) -> SoilObservation:
    """Set an observation right; it stays with its zone and morning. Raises as ``observe_soil``."""
    require_enter(by, company_id_of(observation))
    store(observation, fields=fields | {"by": by}, may_set=OF_SOIL, once="date")
    return observation


@transaction.atomic
def set_trim(*, zone: Zone, by: User, effective_from: dt.date, factor: float, reason: str) -> ZoneTrim:
    """Correct what a zone needs from a day on, by any factor.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If the day is more than a month ahead, or has a trim.
    ValidationError
        If a value can't be.
    """
    require_enter(by, company_id_of(zone))
    if effective_from > clock.today(zone.controller.site.timezone) + LATEST_AHEAD:
        raise Refused("That is more than a month ahead.", field="effective_from")
    trim = ZoneTrim(zone=zone, effective_from=effective_from)
    said = {"factor": factor, "reason": reason, "by": by}
    store(trim, fields=said, may_set=OF_TRIM, once="effective_from")
    return trim


@transaction.atomic
def edit_trim(*, trim: ZoneTrim, by: User, **fields: Any) -> ZoneTrim:
    """Set a trim right; it stays with its zone and day. Raises as ``set_trim``."""
    require_enter(by, company_id_of(trim))
    store(trim, fields=fields | {"by": by}, may_set=OF_TRIM, once="effective_from")
    return trim
