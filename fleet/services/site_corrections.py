"""By what a site's reference ET is corrected, from which day on and why."""

import datetime as dt
from typing import Any

from django.db import transaction

from common import clock
from common.errors import Refused
from fleet.models import Site, SiteCorrection, User
from fleet.selectors.people import require_enter
from fleet.services.observing import LATEST_AHEAD
from fleet.services.storing import store
from fleet.tenancy import company_id_of

MAY_SET = ("factor", "reason", "by")


@transaction.atomic
def correct_site(
    *, site: Site, by: User, effective_from: dt.date, factor: float, reason: str
) -> SiteCorrection:
    """Multiply what all zones of a site need from a day on; 1 takes an earlier correction back.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If the day is more than a month ahead, or has a correction.
    ValidationError
        If a value can't be.
    """
    require_enter(by, company_id_of(site))
    if effective_from > clock.today(site.timezone) + LATEST_AHEAD:
        raise Refused("That is more than a month ahead.", field="effective_from")
    correction = SiteCorrection(site=site, effective_from=effective_from)
    said = {"factor": factor, "reason": reason, "by": by}
    store(correction, fields=said, may_set=MAY_SET, once="effective_from")
    return correction


@transaction.atomic
def edit_correction(*, correction: SiteCorrection, by: User, **fields: Any) -> SiteCorrection:
    """Set a correction right; it stays with its site and day. Raises as ``correct_site``."""
    require_enter(by, company_id_of(correction))
    store(correction, fields=fields | {"by": by}, may_set=MAY_SET, once="effective_from")
    return correction
