"""Moving a change from one status to the next: claimed by a filtered update, told by an event."""

from typing import Any

from django.utils import timezone

from common.errors import MovedOn
from fleet.models import User
from scheduling.models import Change, ChangeEvent

WORDS = dict(Change.Status.choices)


def move(
    change: Change,
    to_status: str,
    *,
    from_statuses: tuple[str, ...],
    by: User | None = None,
    value: int | None = None,
    note: str = "",
    **fields: Any,
) -> Change:
    """Claim a change and append the event, in the caller's transaction.

    Raises
    ------
    MovedOn
        If the change no longer has one of ``from_statuses``; nothing is written then.
    """
    before = change.status
    claimed = Change.objects.filter(pk=change.pk, status=before, status__in=from_statuses).update(
        status=to_status, **fields
    )
    if not claimed:
        raise moved_on(change)
    ChangeEvent.objects.create(
        change=change, from_status=before, to_status=to_status, by=by, value=value, note=note
    )
    change.refresh_from_db()
    return change


def moved_on(change: Change) -> MovedOn:
    """Return the conflict to raise for a change that isn't what the caller thought."""
    current = Change.objects.values_list("status", flat=True).get(pk=change.pk)
    return MovedOn(
        f"This change is {WORDS[current]} by now; nothing was overwritten.", current_status=current
    )


def cleared() -> dict[str, Any]:
    """Return the fields of a change nobody has decided on."""
    return {"decided": None, "decided_by": None, "decided_at": None, "automatic": False}


def decided(by: User | None, *, value: int | None, automatic: bool = False) -> dict[str, Any]:
    """Return the fields of a change that was just decided on."""
    return {"decided": value, "decided_by": by, "decided_at": timezone.now(), "automatic": automatic}
