"""An alteration becomes versions of its programs, from the night it was entered on; or is taken back."""

from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from common.errors import MovedOn, Refused
from fleet.models import User, Zone
from scheduling.models import Change, Program, Setting
from scheduling.models.detail import Altered, Holds
from scheduling.selectors.altered import holds_of
from scheduling.services.programs import put_version, start_version
from scheduling.services.settings import put_percent
from scheduling.services.withdrawing import OPEN, standing_at, supersede, withdraw_misfits

Versions = Mapping[str, int | None]
PERCENT_MOOT = "Its program was changed; the percent is found anew."
CHANGED = "It was changed again since; nothing was taken back."


def key_in(change: Change, *, by: User, night: date) -> None:
    """Write the programs of an alteration as they are from a night on, in the caller's transaction.

    The caller holds the controller and has asked whether it still fits. What waits for the same programs and
    was found for what they held before is withdrawn.

    Raises
    ------
    Refused
        If a program can't change from that night on.
    """
    standing = standing_at([change.program.controller_id])
    for one in change.altered.programs:
        _write(change, one, standing.versions.get((change.program.controller_id, one.letter)), night)
    _withdraw_percents(change, by=by)
    withdraw_misfits(change.program.controller_id, by=by)


def versions_of(change: Change) -> dict[str, int | None]:
    """Return the newest version of each program an alteration touches, by letter."""
    versions = standing_at([change.program.controller_id]).versions
    found = (
        (letter, versions.get((change.program.controller_id, letter))) for letter in change.altered.letters
    )
    return {letter: program.pk if program is not None else None for letter, program in found}


def key_out(change: Change, *, before: Versions, after: Versions) -> None:
    """Take the versions of an alteration back, as long as they are what it made them.

    Parameters
    ----------
    before, after
        The newest version of each letter before it was entered and since.

    Raises
    ------
    MovedOn
        If a program was changed again since, or something hangs on its version.
    """
    controller = change.program.controller_id
    standing = standing_at([controller])
    for one in change.altered.programs:
        version = standing.versions.get((controller, one.letter))
        if version is None or version.pk != after[one.letter]:
            raise MovedOn(CHANGED, current_status="changed")
        held = standing.runs.get(version.pk, ())
        if not _as_keyed(one, version, held):
            raise MovedOn(CHANGED, current_status="changed")
        if version.pk != before[one.letter]:
            if Change.objects.filter(program=version).exists():
                raise MovedOn(CHANGED, current_status="changed")
            version.delete()
        elif one.before is not None:
            put_version(version, night=version.effective, runs=_runs(one.before), **_fields(one.before))


def _write(change: Change, one: Altered, version: Program | None, night: date) -> None:
    runs, fields = _runs(one.after), _fields(one.after)
    if version is None:
        written = start_version(
            change.program.controller, letter=one.letter, night=night, runs=runs, name=one.name, **fields
        )
    else:
        if version.effective > night:
            raise Refused(
                f"Program {one.letter} changes on {version.effective} already; say a later night.",
                field="applied_on",
            )
        written = put_version(version, night=night, runs=runs, ended=None, **fields)
    if one.percent_moves:
        Setting.objects.filter(program=written, effective_from__gt=night).delete()
        put_percent(
            program=written,
            night=night,
            percent=one.after.percent,
            how=Setting.How.CHANGE,
            change=change,
        )


def _fields(held: Holds) -> dict[str, Any]:
    return {"days": held.days, "starts": list(held.starts)}


def _runs(held: Holds) -> list[dict[str, Any]]:
    zones = Zone.objects.in_bulk([run.zone for run in held.runs])
    keyed = ("minutes", "cycle", "soak")
    return [{"zone": zones[run.zone], **{name: asdict(run)[name] for name in keyed}} for run in held.runs]


def _as_keyed(one: Altered, version: Program, runs: Any) -> bool:
    return holds_of(version, runs, percent=one.after.percent).same_as(one.after)


def _withdraw_percents(change: Change, *, by: User) -> None:
    letters = change.altered.letters
    waiting = Change.objects.filter(
        program__controller=change.program.controller_id,
        program__letter__in=letters,
        kind=Change.Kind.PERCENT,
        whole_controller=False,
        status__in=OPEN,
    )
    for one in waiting.defer("inputs"):
        supersede(one, by=by, note=PERCENT_MOOT)
