"""A client's person writes to the contractor, takes a note back; the contractor answers it."""

from datetime import date, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone as real_time

from common import clock
from common.errors import MovedOn, NotAllowed, Refused
from fleet.models import Client, ClientNote, Letter, Site, User
from fleet.models.client_notes import LONGEST_WORDS
from fleet.selectors.people import require_decide
from fleet.services.storing import check
from fleet.tenancy import company_id_of

MOST_WAITING = 5  # of one client; more than that is a call
MOST_A_DAY = 20  # of one client, withdrawn ones too
FURTHEST = timedelta(days=60)
LONGEST = timedelta(days=31)
Status = ClientNote.Status


def may_write(user: User, site: Site) -> bool:
    """Tell whether a person reads this site as its client's, from today on or earlier."""
    return site.client_id in user.open_client_ids()


@transaction.atomic
def write_note(
    *, site: Site, by: User, words: str, dry_from: date | None = None, dry_to: date | None = None
) -> ClientNote:
    """Store a note about a site; the same one, still waiting, is taken for it.

    Without ``dry_to`` the one day is meant.

    Raises
    ------
    NotAllowed
        If the person doesn't read this site as its client's.
    Refused
        If nothing is said or too much, the days can't be, or too many notes wait already.
    """
    if not may_write(by, site):
        raise NotAllowed("Notes are written by the client's own people.")
    said = {"words": _checked(words, field="words"), **_days(site, dry_from, dry_to)}
    Client.objects.select_for_update().get(pk=site.client_id)  # two at once may be one too many
    own = ClientNote.objects.filter(site__client=site.client_id)
    same = own.filter(site=site, by=by, status=Status.WAITING, **said).first()
    if same is not None:
        return same
    if own.filter(status=Status.WAITING).count() >= MOST_WAITING:
        raise Refused(f"{MOST_WAITING} notes wait for an answer already; call, or withdraw one first.")
    if own.filter(written_at__gt=real_time.now() - timedelta(days=1)).count() >= MOST_A_DAY:
        raise Refused(f"{MOST_A_DAY} notes were written in a day; call instead, or write tomorrow.")
    note = ClientNote(site=site, by=by, **said)
    check(note, once="words")
    note.save()
    return note


@transaction.atomic
def withdraw_note(*, note: ClientNote, by: User) -> ClientNote:
    """Take a waiting note back; only who wrote it may. Done twice it is done once.

    Raises
    ------
    NotAllowed
        If somebody else wrote it.
    MovedOn
        If it was answered meanwhile.
    """
    row = held_note(note)
    if row.by_id != by.pk:
        raise NotAllowed("Only who wrote a note withdraws it.")
    if row.status == Status.WITHDRAWN:
        return row
    require_waiting(row)
    row.status = Status.WITHDRAWN
    row.save(update_fields=["status"])
    return row


@transaction.atomic
def answer_note(*, note: ClientNote, by: User, answer: str) -> ClientNote:
    """Say in words what comes of a waiting note. The same answer sent twice is given once.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office of the company.
    Refused
        If nothing is said or too much.
    MovedOn
        If it was answered or withdrawn meanwhile.
    """
    require_decide(by, company_id_of(note))
    said = _checked(answer, field="answer")
    row = held_note(note)
    if (row.status, row.answer, row.answered_by_id) == (Status.ANSWERED, said, by.pk):
        return row
    require_waiting(row)
    return close_note(row, status=Status.ANSWERED, by=by, answer=said)


def close_note(row: ClientNote, *, status: str, by: User, answer: str) -> ClientNote:
    """Write down what became of a held, waiting note."""
    row.status, row.answer, row.answered_by, row.answered_at = status, answer, by, real_time.now()
    row.save(update_fields=["status", "answer", "answered_by", "answered_at"])
    return row


def reopen_note(row: ClientNote) -> ClientNote:
    """Let a held note wait again; the letter that was to tell its answer is stopped if it hasn't gone out."""
    Letter.objects.filter(key=answer_key(row), state=Letter.State.WAITING).update(state=Letter.State.STOPPED)
    row.status, row.answer, row.answered_by, row.answered_at = Status.WAITING, "", None, None
    row.save(update_fields=["status", "answer", "answered_by", "answered_at"])
    return row


def answer_key(note: ClientNote) -> str:
    """Return the name of the letter that tells the answer a note has now."""
    at = note.answered_at.isoformat() if note.answered_at is not None else ""
    return f"answer:{note.pk}:{at}"


def held_note(note: ClientNote) -> ClientNote:
    """Return a note as it is now, held until the transaction ends."""
    rows: Any = ClientNote.objects.select_for_update(of=("self",))
    row: ClientNote = rows.select_related("site__client__company").get(pk=note.pk)
    return row


def require_waiting(note: ClientNote) -> None:
    """Raise MovedOn unless a note still waits for an answer."""
    if note.status != Status.WAITING:
        raise MovedOn(
            f"This note is {note.get_status_display()} by now; nothing was changed.",
            current_status=note.status,
        )


def checked_answer(answer: str) -> str:
    """Return words to go with nights left out; they may be empty."""
    return _checked(answer, field="answer", empty=True)


def _checked(words: str, *, field: str, empty: bool = False) -> str:
    words = words.replace("\r\n", "\n").strip()
    if "\0" in words:
        raise Refused("There is a character in it that can't be kept. Type it anew.", field=field)
    if not words and not empty:
        raise Refused("Say in a few words what it is about.", field=field)
    if len(words) > LONGEST_WORDS:
        raise Refused(
            f"{LONGEST_WORDS:,} characters at the most; this has {len(words):,}.",
            field=field,
        )
    return words


def _days(site: Site, first: date | None, last: date | None) -> dict[str, date | None]:
    if first is None:
        if last is not None:
            raise Refused("Say the first day too.", field="dry_from")
        return {"dry_from": None, "dry_to": None}
    last = last or first
    today = clock.today(site.timezone)
    if first < today:
        raise Refused("That day is over.", field="dry_from")
    if last < first:
        raise Refused("The last day lies before the first.", field="dry_to")
    if last > today + FURTHEST:
        raise Refused(
            f"That is more than {FURTHEST.days} days ahead; write again nearer to it.", field="dry_to"
        )
    if last - first >= LONGEST:
        raise Refused(f"{LONGEST.days} days at the most; for longer, call.", field="dry_to")
    return {"dry_from": first, "dry_to": last}
