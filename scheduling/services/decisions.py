"""People decide on changes: approve, decline, undo."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db import IntegrityError, transaction

from common import clock
from common.errors import BluestemError, MovedOn, Refused
from fleet.models import User
from fleet.selectors.people import require_decide
from scheduling.models import Change, Delivery
from scheduling.services.events import cleared, decided, move, moved_on
from scheduling.services.withdrawing import require_alone, require_fits

NOTE_MAX = 1000


@dataclass(frozen=True)
class Outcome:
    """What became of one change of many."""

    change: int
    done: bool
    message: str = ""
    current_status: str = ""


def approve(*, change: Change, by: User, value: int | None = None, note: str = "") -> Change:
    """Approve a pending change, as proposed or with another percent.

    Raises
    ------
    NotAllowed
        If the person doesn't decide on changes.
    Refused
        If the controller can't hold the value, or a skip or an alteration is given one.
    MovedOn
        If the change isn't pending any more, its night is over, or its program was changed since.
    """
    require_decide(by, company_of(change))
    chosen = _checked_value(change, value)
    with transaction.atomic():
        _refuse_past_night(change)
        if change.is_alteration and change.status == Change.Status.PENDING:
            require_fits(change)
        approve_as(change, by=by, value=chosen, note=checked_note(note))
    return change


def approve_as(
    change: Change, *, by: User | None, value: int | None, note: str = "", automatic: bool = False
) -> Change:
    """Approve a pending change inside a transaction; ``by`` is None where policy did it."""
    move(
        change,
        Change.Status.APPROVED,
        from_statuses=(Change.Status.PENDING,),
        by=by,
        value=value,
        note=note,
        **decided(by, value=value, automatic=automatic),
    )
    _supersede_older(change, by)
    Delivery.objects.update_or_create(
        change=change,
        channel=change.program.controller.delivery,
        defaults={"state": Delivery.State.WAITING, "attempts": 0, "next_attempt_at": None},
    )
    return change


def decline(*, change: Change, by: User, note: str) -> Change:
    """Decline a pending change and say why."""
    require_decide(by, company_of(change))
    note = checked_note(note)
    if not note:
        raise Refused("Say in a few words why, so that the next person knows.", field="note")
    with transaction.atomic():
        return move(
            change,
            Change.Status.DECLINED,
            from_statuses=(Change.Status.PENDING,),
            by=by,
            note=note,
            **decided(by, value=None),
        )


def undo(*, change: Change, by: User, note: str = "") -> Change:
    """Take a decision back, as long as the change has not been entered at its controller."""
    require_decide(by, company_of(change))
    note = checked_note(note)
    try:
        with transaction.atomic():
            _refuse_past_night(change)
            if change.is_alteration and change.status == Change.Status.DECLINED:
                require_fits(change)
                require_alone(change)
            move(
                change,
                Change.Status.PENDING,
                from_statuses=(Change.Status.APPROVED, Change.Status.DECLINED),
                by=by,
                note=note or "Taken back.",
                **cleared(),
            )
            Delivery.objects.filter(change=change).update(state=Delivery.State.WITHDRAWN)
    except IntegrityError:
        change.refresh_from_db()
        raise MovedOn(
            "A newer change for this program is waiting; decide on that one.", current_status=change.status
        ) from None
    return change


def approve_many(*, changes: Iterable[Change], by: User) -> list[Outcome]:
    """Approve several changes as proposed; one that moved on doesn't stop the others."""
    return [_outcome(change, by) for change in changes]


def _outcome(change: Change, by: User) -> Outcome:
    try:
        approve(change=change, by=by)
    except MovedOn as error:
        return Outcome(change.pk, done=False, message=error.message, current_status=error.current_status)
    except BluestemError as error:
        return Outcome(change.pk, done=False, message=error.message)
    return Outcome(change.pk, done=True)


def _supersede_older(change: Change, by: User | None) -> None:
    if change.is_wish:
        return  # each was granted for a note of its own, and its client is told so
    older = Change.objects.filter(
        program=change.program_id, kind=change.kind, status=Change.Status.APPROVED
    ).exclude(pk=change.pk)
    if change.is_skip:  # a skip of other nights stays what it is
        older = older.filter(effective_from__lte=change.effective_to, effective_to__gte=change.effective_from)
    for one in older:
        try:
            move(
                one,
                Change.Status.SUPERSEDED,
                from_statuses=(Change.Status.APPROVED,),
                by=by,
                note="A later change was approved before this one was entered.",
            )
        except MovedOn:  # entered or taken back this very moment: that stands, and no reason to stop
            continue
        Delivery.objects.filter(change=one, state=Delivery.State.WAITING).update(
            state=Delivery.State.WITHDRAWN
        )


def company_of(change: Change) -> int:
    """Return the company a change belongs to."""
    return change.program.controller.site.client.company_id


def checked_note(note: str) -> str:
    note = note.strip()
    if len(note) > NOTE_MAX:
        raise Refused(f"Keep the note under {NOTE_MAX} characters; this one has {len(note)}.", field="note")
    return note


def _checked_value(change: Change, value: int | None) -> int | None:
    if change.is_skip:
        if value is not None:
            raise Refused("A skip has no value: approve or decline it.", field="value")
        return None
    if change.is_alteration:
        if value is not None:
            raise Refused(
                f"A change of {change.get_kind_display()} is approved as proposed, without a value; "
                "to have it otherwise, edit the program.",
                field="value",
            )
        return None
    if value is None:
        return change.proposed
    controller = change.program.controller
    if not 0 <= value <= controller.percent_max:
        raise Refused(f"This controller takes 0 to {controller.percent_max} %.", field="value")
    if value % controller.percent_step:
        raise Refused(f"This controller holds steps of {controller.percent_step} %.", field="value")
    return value


def _refuse_past_night(change: Change) -> None:
    if change.effective_to is None or change.status not in ("pending", "approved", "declined"):
        return
    if change.effective_to < clock.today(change.program.controller.site.timezone):
        raise MovedOn(
            f"The night of {change.effective_to} is over; nothing was changed.", current_status=change.status
        )


__all__ = ["Outcome", "approve", "approve_as", "approve_many", "company_of", "decline", "moved_on", "undo"]
