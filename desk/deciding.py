"""Carrying out what was asked for on one change or many; one that can't be done doesn't stop the others."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from django.db.models import QuerySet

from common.errors import MovedOn, NotAllowed, Refused
from desk import posted
from fleet.models import User
from scheduling.models import Change
from scheduling.services import decisions, entering


@dataclass(frozen=True)
class Asked:
    """What a person typed beside a button."""

    by: User
    value: str = ""
    note: str = ""
    applied_on: str = ""


@dataclass(frozen=True)
class Answer:
    """What became of one change. ``field`` names the input a message belongs to; a conflict has none."""

    change: Change
    done: bool
    message: str = ""
    field: str = ""
    asked: Asked | None = None

    @property
    def conflict(self) -> bool:
        """Tell whether somebody or something was faster."""
        return not self.done and not self.field


def _approve(change: Change, asked: Asked) -> None:
    value = posted.percent(asked.value) if change.is_percent else None
    decisions.approve(change=change, by=asked.by, value=value, note=asked.note)


def _decline(change: Change, asked: Asked) -> None:
    decisions.decline(change=change, by=asked.by, note=asked.note)


def _undo(change: Change, asked: Asked) -> None:
    decisions.undo(change=change, by=asked.by, note=asked.note)


def _enter(change: Change, asked: Asked) -> None:
    entering.apply(change=change, by=asked.by, applied_on=posted.day(asked.applied_on), note=asked.note)


ACTIONS: dict[str, Callable[[Change, Asked], None]] = {
    "approve": _approve,
    "decline": _decline,
    "undo": _undo,
    "enter": _enter,
}
DONE = {"approve": "approved", "decline": "declined", "undo": "taken back", "enter": "entered"}


def carry_out(
    action: str, changes: QuerySet[Change] | Iterable[Change], *, asked: Asked, values: Mapping[int, str] = {}
) -> list[Answer]:
    """Do one thing to each change.

    Raises
    ------
    NotAllowed
        If the person may not do this at all.
    """
    return [_one(action, change, asked=asked, value=values.get(change.pk, asked.value)) for change in changes]


def _one(action: str, change: Change, *, asked: Asked, value: str) -> Answer:
    wanted = Asked(by=asked.by, value=value, note=asked.note, applied_on=asked.applied_on)
    try:
        ACTIONS[action](change, wanted)
    except NotAllowed:
        raise
    except Refused as refused:
        field = refused.field or "value"
        return Answer(change, done=False, message=refused.message, field=field, asked=wanted)
    except MovedOn as moved:
        return Answer(change, done=False, message=moved.message, asked=wanted)
    return Answer(change, done=True)


def summary(action: str, answers: list[Answer]) -> tuple[str, str]:
    """Return what was done and what wasn't, as two sentences; either may be empty."""
    done = [answer for answer in answers if answer.done]
    left = [answer for answer in answers if not answer.done]
    good = _told(action, done)
    if not left:
        return good, ""
    if len(left) == 1:
        return good, f"{left[0].change.program} at {_site(left[0])}: {left[0].message}"
    return good, f"{len(left)} changes were left as they are; each says why in its line."


def _told(action: str, done: list[Answer]) -> str:
    word = DONE[action]
    if not done:
        return ""
    if len(done) > 1:
        return f"{len(done)} changes {word}."
    change = done[0].change
    what = f"{change.program} at {_site(done[0])}"
    if action in ("approve", "enter") and change.decided is not None:
        return f"{what}: {change.decided} % {word}."
    return f"{what}: {word}."


def _site(answer: Answer) -> str:
    return str(answer.change.program.controller.site)
