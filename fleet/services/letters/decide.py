"""What a person says about a letter: send it (again), it did arrive, don't send it."""

from django.db import transaction
from django.utils import timezone as real_time

from common.errors import MovedOn
from fleet.models import Letter, User
from fleet.selectors.people import require_manage

State = Letter.State
AGAIN, ARRIVED, STOP = "again", "arrived", "stop"
FROM = {
    AGAIN: (State.UNSURE, State.FAILED, State.STOPPED),
    ARRIVED: (State.UNSURE,),
    STOP: (State.WAITING, State.UNSURE, State.FAILED),
}


def decide_letter(*, letter: Letter, by: User, what: str) -> Letter:
    """Do what a person says about a letter. Done twice it is done once.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office of the company.
    MovedOn
        If the letter isn't in a state any more in which that can be said.
    """
    require_manage(by, letter.company_id)
    wanted = {AGAIN: State.WAITING, ARRIVED: State.SENT, STOP: State.STOPPED}[what]
    with transaction.atomic():
        row = Letter.objects.select_for_update().get(pk=letter.pk)
        if row.state == wanted:
            return row
        if row.state not in FROM[what]:
            raise MovedOn(f"This letter is {row.get_state_display()} by now.", current_status=row.state)
        now = real_time.now()
        row.state, row.decided_by, row.error = wanted, by, ""
        if what == AGAIN:
            row.attempts, row.next_attempt_at = 0, now
        if what == ARRIVED:
            row.sent_at = row.claimed_at or now
        row.save()
    return row
