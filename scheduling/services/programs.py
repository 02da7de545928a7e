"""Entering programs as they are at the controller. What ran is a fact: an edit is a new version."""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from typing import Any

from django.db import transaction

from common import clock
from common.errors import InUse, MovedOn, Refused
from fleet.models import Controller, User
from fleet.selectors.people import require_set_up
from fleet.services.storing import check, remove, store
from fleet.tenancy import company_id_of
from scheduling.models import Program, Setting, Skip, ZoneRun
from scheduling.services.withdrawing import withdraw_misfits

FURTHEST = timedelta(days=366)
FIELDS = ("name", "days", "starts", "ended")
RUN_FIELDS = ("zone", "minutes", "cycle", "soak", "order")
Runs = Iterable[Mapping[str, Any]]


@transaction.atomic
def enter_program(
    *, controller: Controller, by: User, letter: str, effective: date, runs: Runs = (), **fields: Any
) -> Program:
    """Store the first version of a program with its runs.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office.
    Refused
        If the controller has this letter, or no room for another, or the night can't be.
    ValidationError
        If a value can't be.
    """
    require_set_up(by, company_id_of(controller))
    Controller.objects.select_for_update().get(pk=controller.pk)  # two letters at once may be one too many
    program = start_version(controller, letter=letter, night=effective, runs=runs, **fields)
    withdraw_misfits(controller.pk, by=by)
    return program


@transaction.atomic
def edit_program(
    *, program: Program, by: User, effective: date | None = None, runs: Runs | None = None, **fields: Any
) -> Program:
    """Return the version of a program that holds from the night of ``effective`` on; without one, tonight.

    A version whose first night isn't over is written anew; after that another version takes its place, at
    the percent in force and with the skips that are left. ``ended`` alone ends the version itself.

    Raises
    ------
    MovedOn
        If another version has taken this one's place.
    NotAllowed, Refused, ValidationError
        As ``enter_program``.
    """
    require_set_up(by, company_id_of(program))
    Controller.objects.select_for_update().get(pk=program.controller_id)
    versions = Program.objects.filter(controller=program.controller_id, letter=program.letter)
    newer = versions.filter(effective__gt=program.effective).order_by("effective").first()
    if newer:
        raise MovedOn(
            f"Another version runs from {newer.effective} on; edit that.", current_status="replaced"
        )
    today = clock.today(program.controller.site.timezone)
    if effective is None and runs is None and set(fields) <= {"ended", "name"}:
        _write(program, fields, None)
        version = program
    else:
        version = put_version(program, night=effective or max(today, program.effective), runs=runs, **fields)
    withdraw_misfits(program.controller_id, by=by)
    return version


def start_version(controller: Controller, *, letter: str, night: date, runs: Runs, **fields: Any) -> Program:
    """Return the first version of a program, in the caller's transaction; see ``enter_program``."""
    letters = set(Program.objects.filter(controller=controller, ended=None).values_list("letter", flat=True))
    if Program.objects.filter(controller=controller, letter=letter).exists():
        raise Refused("This controller has such a program; edit that.", field="letter")
    if len(letters) >= controller.program_capacity:
        raise Refused(f"This controller holds {controller.program_capacity} programs.", field="letter")
    program = Program(controller=controller, letter=letter, effective=night)
    _check_night(program, night)
    _write(program, fields, runs)
    return program


def put_version(program: Program, *, night: date, runs: Runs | None, **fields: Any) -> Program:
    """Return the version that follows a program's newest one, in the caller's transaction.

    See ``edit_program``, which asks who it is and whether this is the newest.
    """
    today = clock.today(program.controller.site.timezone)
    if night < program.effective or (night == program.effective < today):
        raise Refused(f"From {program.effective} on it ran as it is; say a later night.", field="effective")
    _check_night(program, night)
    if night == program.effective:
        _write(program, fields, runs)
        return program
    return _next_version(program, night, fields, runs)


@transaction.atomic
def remove_program(*, program: Program, by: User) -> None:
    """Delete a version that never ran and on which nothing hangs but its runs; InUse otherwise."""
    require_set_up(by, company_id_of(program))
    if program.effective <= clock.today(program.controller.site.timezone):
        raise InUse("It may have run by now; end it instead.")
    remove(program, along=frozenset({"runs"}))


def _next_version(program: Program, night: date, fields: dict[str, Any], runs: Runs | None) -> Program:
    ended = program.ended if program.ended and program.ended > night else None
    version = Program(controller=program.controller, letter=program.letter, effective=night)
    kept = {"name": program.name, "days": program.days, "starts": program.starts, "ended": ended}
    as_before = [
        {name: getattr(run, name) for name in RUN_FIELDS} for run in program.runs.select_related("zone")
    ]
    _write(version, kept | fields, as_before if runs is None else runs)
    _carry(program, version)
    return version


def _carry(program: Program, version: Program) -> None:
    """Let a new version go on at the percents and with the skips of the one before."""
    settings = program.settings.order_by("effective_from")
    in_force = settings.filter(effective_from__lte=version.effective).last()
    later = settings.filter(effective_from__gt=version.effective)
    for setting in [*([in_force] if in_force else []), *later]:
        Setting.objects.create(
            program=version,
            percent=setting.percent,
            effective_from=max(setting.effective_from, version.effective),
            how=setting.how if setting.effective_from >= version.effective else Setting.How.ENTERED,
            change=setting.change if setting.effective_from >= version.effective else None,
        )
    for skip in program.skips.filter(effective_to__gte=version.effective):
        first = max(skip.effective_from, version.effective)
        Skip.objects.create(
            program=version,
            effective_from=first,
            effective_to=skip.effective_to,
            reason=skip.reason,
            group=skip.group,
            change=skip.change,
        )


def _write(program: Program, fields: dict[str, Any], runs: Runs | None) -> None:
    ended = fields.get("ended", program.ended)
    if ended is not None and ended < program.effective:
        raise Refused("It would end before it begins.", field="ended")
    starts = fields.get("starts", program.starts)
    most = program.controller.starts_per_program
    if len(starts) > most:
        raise Refused(f"This controller holds {most} starts a program.", field="starts")
    store(program, fields=fields, may_set=FIELDS, once="effective")
    if runs is not None:
        program.runs.all().delete()
        for number, said in enumerate(runs, start=1):
            _add_run(program, {"order": number, **said})


def _add_run(program: Program, said: dict[str, Any]) -> None:
    if said["zone"].controller_id != program.controller_id:
        raise Refused("This zone is wired to another controller.", field="runs.zone")
    run = ZoneRun(program=program, **said)
    check(run, once="zone")
    run.save()


def _check_night(program: Program, night: date) -> None:
    if night > clock.today(program.controller.site.timezone) + FURTHEST:
        raise Refused("That is more than a year ahead.", field="effective")
