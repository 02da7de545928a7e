"""Alterations that no longer fit: their programs were changed since they were proposed."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from common import clock
from common.errors import MovedOn
from fleet.models import User
from scheduling.models import Change, Delivery, Program, ZoneRun
from scheduling.models.changes import ALTERATIONS
from scheduling.models.detail import Altered
from scheduling.selectors.altered import holds_of
from scheduling.services.events import move

OPEN = (Change.Status.PENDING, Change.Status.APPROVED)
Letter = tuple[int, str]


@dataclass(frozen=True)
class Standing:
    """The newest version of every program of some controllers, with its runs."""

    versions: Mapping[Letter, Program]
    runs: Mapping[int, Sequence[ZoneRun]]

    def differs(self, controller: int, one: Altered, *, on: date) -> bool:
        """Tell whether a program isn't what an alteration started from."""
        version = self.versions.get((controller, one.letter))
        running = version is not None and (version.ended is None or version.ended > on)
        if one.before is None or version is None or not running:
            return running != (one.before is not None)
        held = holds_of(version, self.runs.get(version.pk, ()), percent=one.before.percent)
        return not held.same_as(one.before)

    def word(self, change: Change) -> str:
        """Return why an alteration no longer fits, empty where it does."""
        controller = change.program.controller
        on = clock.today(controller.site.timezone)
        moved = [p.letter for p in change.altered.programs if self.differs(controller.pk, p, on=on)]
        if not moved:
            return ""
        which = f"Program {moved[0]} was" if len(moved) == 1 else f"Programs {' and '.join(moved)} were"
        return f"{which} changed since this was proposed; it no longer fits."


def standing_at(controllers: Iterable[int]) -> Standing:
    """Read what the newest versions of some controllers' programs hold, in two queries."""
    versions: dict[Letter, Program] = {}
    for program in Program.objects.filter(controller__in=set(controllers)).order_by("effective"):
        versions[program.controller_id, program.letter] = program
    runs: dict[int, list[ZoneRun]] = defaultdict(list)
    newest = [program.pk for program in versions.values()]
    for run in ZoneRun.objects.filter(program__in=newest).select_related("zone").order_by("order", "pk"):
        runs[run.program_id].append(run)
    return Standing(versions, runs)


def open_alterations(controllers: Iterable[int]) -> list[Change]:
    """Return the alterations of some controllers that wait or are yet to be entered."""
    rows = Change.objects.filter(
        program__controller__in=set(controllers), kind__in=ALTERATIONS, status__in=OPEN
    )
    return list(rows.select_related("program__controller__site").defer("inputs").order_by("pk"))


def withdraw_misfits(controller: int, *, by: User | None) -> None:
    """Replace every open alteration of a controller whose programs were changed; say why."""
    waiting = open_alterations([controller])
    if not waiting:
        return
    standing = standing_at([controller])
    for change in waiting:
        if word := standing.word(change):
            supersede(change, by=by, note=word)


def supersede(change: Change, *, by: User | None, note: str) -> None:
    """Replace a change that waits or is yet to be entered; one entered this very moment stays."""
    try:
        move(change, Change.Status.SUPERSEDED, from_statuses=OPEN, by=by, note=note)
    except MovedOn:
        return
    Delivery.objects.filter(change=change, state=Delivery.State.WAITING).update(
        state=Delivery.State.WITHDRAWN
    )


def require_fits(change: Change) -> None:
    """Raise MovedOn if the programs of an alteration were changed since it was proposed."""
    word = standing_at([change.program.controller_id]).word(change)
    if word:
        raise MovedOn(f"{word} Propose it again from the advice.", current_status=change.status)


def require_alone(change: Change) -> None:
    """Raise MovedOn if another open alteration touches one of the same programs."""
    other = clashing(change.program.controller_id, change.altered.letters, but=change.pk)
    if other is not None:
        raise MovedOn(
            f"Another change of program {other.program.letter} ({other.get_kind_display()}) is open; "
            "decide on that one first.",
            current_status=change.status,
        )


def clashing(controller: int, letters: Sequence[str], *, but: int | None = None) -> Change | None:
    """Return an open alteration of one of some programs, or None."""
    found = (c for c in open_alterations([controller]) if set(c.altered.letters) & set(letters))
    return next((change for change in found if change.pk != but), None)
