"""A change approved days ago that nobody has entered: the technician stood before a locked garage."""

from datetime import datetime

from common import clock
from scheduling.demo.dates import TIMEZONE
from scheduling.demo.rows import Rows
from scheduling.models import Change
from scheduling.selectors.season_load import load_season
from scheduling.services.decide import decide
from scheduling.services.decisions import approve_as
from scheduling.services.proposal import Proposal

AT, LETTER = "dunmore_1", "A"
DAYS_AGO = 9
APPROVED_AT = "08:40"


def add_change(rows: Rows) -> None:
    """Propose from what was known that morning, approve it, and date both back to that day."""
    proposal = _proposal(rows)
    if proposal is None:  # not a summer date: nothing is short of water
        return
    change = proposal.as_row(run_id=None)
    change.save()
    change.events.create(to_status=Change.Status.PENDING, value=change.proposed)
    approve_as(change, by=rows.people["office"], value=change.proposed, note="With the next route.")
    day = rows.calendar.ago(DAYS_AGO)
    _date_back(
        change, proposed_at=clock.moment(day, TIMEZONE), approved_at=rows.calendar.moment(day, APPROVED_AT)
    )


def _proposal(rows: Rows) -> Proposal | None:
    on = rows.calendar.ago(DAYS_AGO)
    site = rows.controllers[AT].site
    decided = decide(load_season([site.pk], on=on, timezone=TIMEZONE), now=clock.moment(on, TIMEZONE))
    return decided.proposals.get((rows.programs[AT, LETTER].pk, Change.Kind.PERCENT.value))


def _date_back(change: Change, *, proposed_at: datetime, approved_at: datetime) -> None:
    Change.objects.filter(pk=change.pk).update(created_at=proposed_at, decided_at=approved_at)
    change.events.filter(to_status=Change.Status.PENDING).update(at=proposed_at)
    change.events.filter(to_status=Change.Status.APPROVED).update(at=approved_at)
