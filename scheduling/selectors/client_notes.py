"""Notes from clients with what became of them: the answer, and how far the nights left out have got."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch

from fleet.models import ClientNote
from fleet.tenancy import TenantQuerySet
from scheduling.models import Change

WAITING, ANSWERED, WITHDRAWN = "waiting", "answered", "withdrawn"
AGREED, ENTERED, LAPSED = "agreed", "entered", "lapsed"
WORDS = {
    WAITING: "waiting for an answer",
    ANSWERED: "answered",
    WITHDRAWN: "withdrawn",
    AGREED: "agreed, to be entered at the controller",
    ENTERED: "entered: these nights are left out",
    LAPSED: "not left out after all",
}
Status = Change.Status


@dataclass(frozen=True)
class Told:
    """A note and what became of it."""

    note: ClientNote
    changes: list[Change]

    @property
    def outcome(self) -> str:
        """Return how far it has got, one of ``WORDS``."""
        if self.note.status != ClientNote.Status.GRANTED:
            return self.note.status
        now = {change.status for change in self.changes}
        if now & {Status.APPROVED, Status.PENDING}:
            return AGREED
        return ENTERED if Status.APPLIED in now else LAPSED

    @property
    def words(self) -> str:
        """Return the same for people."""
        return WORDS[self.outcome]

    @property
    def left_out(self) -> list[Change]:
        """Return the skips made for it that weren't called off."""
        return [
            one for one in self.changes if one.status in (Status.APPROVED, Status.PENDING, Status.APPLIED)
        ]

    @property
    def may_be_taken_back(self) -> bool:
        """Tell whether its answer may still be taken back: no skip was entered."""
        answered = self.note.status in (ClientNote.Status.ANSWERED, ClientNote.Status.GRANTED)
        return answered and not any(one.status == Status.APPLIED for one in self.changes)


def notes_for(user: Any) -> TenantQuerySet[ClientNote]:
    """Return the notes a person may see, with their sites, people and skips: two queries."""
    return _whole(ClientNote.objects.visible_to(user))


def notes_for_letters() -> TenantQuerySet[ClientNote]:
    """Return every company's answered notes: what their writers are told is asked for by nobody signed in."""
    return _whole(ClientNote.objects.filter(answered_at__isnull=False))


def _whole(notes: TenantQuerySet[ClientNote]) -> TenantQuerySet[ClientNote]:
    changes = Change.objects.select_related("program__controller").defer("inputs").order_by("pk")
    return notes.select_related("site__client__company", "by", "answered_by").prefetch_related(
        Prefetch("changes", queryset=changes)
    )


def told(notes: Iterable[ClientNote]) -> list[Told]:
    """Return notes with what became of them."""
    return [Told(note, list(note.changes.all())) for note in notes]


@dataclass(frozen=True)
class Waiting:
    """Notes that wait: how many, and the oldest."""

    count: int
    oldest: list[ClientNote]

    @property
    def more(self) -> int:
        """Return how many aren't among the oldest."""
        return self.count - len(self.oldest)


def notes_waiting(user: Any, company_id: int, *, most: int) -> Waiting:
    """Return a company's notes nobody has answered yet, oldest first."""
    rows = ClientNote.objects.visible_to(user).of_company(company_id)
    waiting = rows.filter(status=ClientNote.Status.WAITING)
    oldest = waiting.select_related("site__client", "by").order_by("written_at", "pk")
    return Waiting(waiting.count(), list(oldest[:most]))
