"""Nights left out because a client asked for dry days: what it does to the plants, then decided at once."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db import IntegrityError, transaction

from common import clock
from common.errors import MovedOn, Refused
from fleet.models import Client, ClientNote, User
from fleet.selectors.people import require_decide
from fleet.services.client_notes import checked_answer, close_note, held_note, reopen_note, require_waiting
from fleet.tenancy import company_id_of
from scheduling.models import Change, ChangeEvent, Delivery
from scheduling.selectors.dry_days import WetNights, wet_nights
from scheduling.services.decisions import approve_as
from scheduling.services.events import move
from scheduling.services.proposal import Proposal
from scheduling.services.wish_effect import reason_of, wish_proposals

Status = Change.Status


@dataclass(frozen=True)
class Wish:
    """What leaving nights out at one program would do; ``proposal`` is None where it can't be computed."""

    nights: WetNights
    proposal: Proposal | None
    why_not: str = ""


@dataclass(frozen=True)
class Chosen:
    """The nights of one program as a person was shown them."""

    program: int
    first: date
    last: date


def wishes_of(note: ClientNote) -> list[Wish]:
    """Return what would have to be left out for a note's days, program by program, and what that does."""
    if note.dry_from is None or note.dry_to is None:
        return []
    on = clock.today(note.site.timezone)
    return _judged(note, wet_nights(note.site, first=note.dry_from, last=note.dry_to, on=on), on=on)


def grant(*, note: ClientNote, by: User, chosen: Sequence[Chosen], answer: str = "") -> ClientNote:
    """Decide to leave out the chosen nights for a waiting note. Sent twice it is done once.

    Each program gets a change that is approved at once and goes to its controller as any skip does.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office of the company.
    Refused
        If nothing is chosen, or something that was never offered, or the answer is too long.
    MovedOn
        If the note was answered or withdrawn meanwhile, or its programs no longer water as they were shown.
    """
    require_decide(by, company_id_of(note))
    answer = checked_answer(answer)
    if not chosen:
        raise Refused("Choose at least one program, or answer in words.", field="skip")
    with transaction.atomic():
        row = held_note(note)
        if row.status == ClientNote.Status.GRANTED and _is_this(row, by, chosen):
            return row
        require_waiting(row)
        Client.objects.select_for_update().get(pk=row.site.client_id)  # another note may name the same nights
        wishes = _asked_for(row, chosen)
        for wish in wishes:
            _decide(row, wish, by=by)
        return close_note(row, status=ClientNote.Status.GRANTED, by=by, answer=answer)


def take_back(*, note: ClientNote, by: User) -> ClientNote:
    """Let an answered note wait again; nights decided for it are watered after all, until one was entered.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office of the company.
    MovedOn
        If the note wasn't answered, or a skip was entered at its controller.
    """
    require_decide(by, company_id_of(note))
    with transaction.atomic():
        row = held_note(note)
        if row.status not in (ClientNote.Status.ANSWERED, ClientNote.Status.GRANTED):
            raise MovedOn(
                f"This note is {row.get_status_display()}; there is no answer to take back.",
                current_status=row.status,
            )
        changes = list(row.changes.select_related("program__controller__site__client").defer("inputs"))
        if any(change.status == Status.APPLIED for change in changes):
            raise MovedOn(
                "A skip was entered at its controller already: take that back first, or write to the client.",
                current_status=row.status,
            )
        for change in changes:
            if change.status in (Status.PENDING, Status.APPROVED):
                move(
                    change,
                    Status.SUPERSEDED,
                    from_statuses=(Status.PENDING, Status.APPROVED),
                    by=by,
                    note="Taken back; the client's note waits again.",
                )
                Delivery.objects.filter(change=change).update(state=Delivery.State.WITHDRAWN)
        return reopen_note(row)


def _judged(note: ClientNote, nights: Sequence[WetNights], *, on: date) -> list[Wish]:
    if not nights:
        return []
    proposals, why_not = wish_proposals(note, nights, on=on)
    return [Wish(one, proposals.get(one.program.pk), why_not.get(one.program.pk, "")) for one in nights]


def _asked_for(note: ClientNote, chosen: Sequence[Chosen]) -> list[Wish]:
    """Return what the chosen nights would do now, as long as they are what a person was shown."""
    if note.dry_from is None or note.dry_to is None:
        raise Refused("This note names no days; answer it in words.", field="skip")
    on = clock.today(note.site.timezone)
    now = {one.program.pk: one for one in wet_nights(note.site, first=note.dry_from, last=note.dry_to, on=on)}
    for one in chosen:
        offered = now.get(one.program)
        if offered is None or (offered.first, offered.last) != (one.first, one.last):
            raise MovedOn(
                "The programs don't water as they did when you looked; nothing was left out. Look again.",
                current_status=note.status,
            )
    wanted = {one.program for one in chosen}
    return _judged(note, [one for pk, one in now.items() if pk in wanted], on=on)


def _decide(note: ClientNote, wish: Wish, *, by: User) -> None:
    """Store one program's skip, proposed and approved in one step."""
    change = _row(note, wish)
    change.client_note = note
    try:
        with transaction.atomic():
            change.save()
    except IntegrityError:
        raise MovedOn(
            f"Another skip a client wished waits for a decision at {wish.nights.program}: "
            "decide on it on the week sheet first.",
            current_status=note.status,
        ) from None
    ChangeEvent.objects.create(change=change, from_status="", to_status=Status.PENDING, by=by)
    approve_as(change, by=by, value=None, note="As the client asked.")


def _row(note: ClientNote, wish: Wish) -> Change:
    if wish.proposal is not None:
        change = wish.proposal.as_row(run_id=None)
        change.whole_controller = False  # one program's nights, whatever its percent serves
        return change
    return Change(
        program=wish.nights.program,
        kind=Change.Kind.WISH_SKIP,
        effective_from=wish.nights.first,
        effective_to=wish.nights.last,
        reason=reason_of(note),
        currency=note.site.client.company.currency,
    )


def _is_this(note: ClientNote, by: User, chosen: Sequence[Chosen]) -> bool:
    """Tell whether the same person decided the same a moment ago."""
    made = set(note.changes.values_list("program", "effective_from", "effective_to"))
    return note.answered_by_id == by.pk and made == {(one.program, one.first, one.last) for one in chosen}
