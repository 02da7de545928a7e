"""Messages after an action, some with a button that takes the action back."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest

UNDO = "undo:"
ENTRY = "entry:"


@dataclass(frozen=True)
class Notice:
    """One message as a page shows it."""

    text: str
    kind: str
    undo: tuple[int, ...] = ()
    entry: int | None = None


def say(request: HttpRequest, text: str, *, undo: Iterable[int] = (), entry: int | None = None) -> None:
    """Tell that something was done; ``undo`` names the changes, ``entry`` what a button may take back."""
    tags = UNDO + ",".join(map(str, undo)) if undo else ""
    tags = tags or (f"{ENTRY}{entry}" if entry else "")
    messages.success(request, text, extra_tags=tags)


def warn(request: HttpRequest, text: str) -> None:
    """Tell that something wasn't done."""
    messages.warning(request, text)


def collect(request: HttpRequest) -> list[Notice]:
    """Return the waiting messages; each is shown once."""
    return [
        Notice(
            text=str(m.message),
            kind=m.level_tag,
            undo=_undone_by(m.extra_tags or ""),
            entry=_entry_of(m.extra_tags or ""),
        )
        for m in messages.get_messages(request)
    ]


def _undone_by(tags: str) -> tuple[int, ...]:
    return tuple(int(pk) for pk in tags.removeprefix(UNDO).split(",")) if tags.startswith(UNDO) else ()


def _entry_of(tags: str) -> int | None:
    return int(tags.removeprefix(ENTRY)) if tags.startswith(ENTRY) else None
