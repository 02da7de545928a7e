"""A plan becomes the programs of its controller, from a night on, just as it was shown."""

from datetime import date

from django.db import transaction

from common import clock
from common.errors import MovedOn, Refused
from fleet.models import Controller, User
from fleet.selectors.people import require_set_up
from fleet.tenancy import company_id_of
from scheduling.models import Program, Setting
from scheduling.selectors.plan.asked import Overrides
from scheduling.selectors.plan.build import NOTHING
from scheduling.selectors.plan.of_controller import OFF, Planned, plan_of
from scheduling.selectors.plan.result import ProgramPlan
from scheduling.services.programs import edit_program, enter_program


@transaction.atomic
def adopt_plan(
    *, controller: Controller, by: User, effective: date, digest: str, overrides: Overrides = NOTHING
) -> list[Program]:
    """Write a plan as program versions from the night of ``effective`` on; return them by letter.

    Programs the plan doesn't have end that night. Each new version starts at the percent its month has in
    the plan, since percents of other minutes mean nothing for these.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office.
    MovedOn
        If survey, rule, water, weather or programs aren't what they were when the plan was shown.
    Refused
        If there is nothing to write, a zone would lose its water, or the night can't be.
    ValidationError
        If a value that was overruled can't be entered.
    """
    require_set_up(by, company_id_of(controller))
    Controller.objects.select_for_update().get(pk=controller.pk)
    if effective < clock.today(controller.site.timezone):
        raise Refused("That night is over; say a later one.", field="effective")
    planned = plan_of(controller, night=effective, overrides=overrides, ways=False)
    if planned.digest != digest:
        raise MovedOn(
            "What this plan was made from has changed since it was shown; look at it again.",
            current_status="moved",
        )
    _check(planned)
    newest = _newest(controller, effective)
    written = [_write(one, controller, newest, by=by, night=effective) for one in planned.plan.programs]
    letters = {one.letter for one in planned.plan.programs}
    for letter, program in newest.items():
        if letter not in letters and (program.ended is None or program.ended > effective):
            edit_program(program=program, by=by, ended=max(effective, program.effective))
    return written


def _check(planned: Planned) -> None:
    found = planned.plan
    if not found.programs:
        raise Refused("There is nothing to enter: no zone could be planned.", field="digest")
    if len(found.programs) > found.asked.controller.program_capacity:
        raise Refused(
            f"This controller holds {found.asked.controller.program_capacity} programs.", field="overrides"
        )
    watered = {run.zone_id for entry in planned.present.entries for run in entry.runs if run.minutes}
    dry = [one for one in found.left_out if one.zone.pk in watered and list(one.missing) != [OFF]]
    if dry:
        names = ", ".join(f"{one.zone} ({', '.join(one.missing)})" for one in dry)
        raise Refused(
            f"These zones are watered now and would no longer be; complete their survey first: {names}.",
            field="zones",
        )


def _newest(controller: Controller, night: date) -> dict[str, Program]:
    """Return the last version of every letter; none may begin after the night."""
    newest: dict[str, Program] = {}
    for program in Program.objects.filter(controller=controller).order_by("effective"):
        newest[program.letter] = program
        program.controller = controller
    later = [program for program in newest.values() if program.effective > night]
    if later:
        raise Refused(
            f"Program {later[0].letter} changes on {later[0].effective} already; adopt from then on.",
            field="effective",
        )
    return newest


def _write(
    one: ProgramPlan, controller: Controller, newest: dict[str, Program], *, by: User, night: date
) -> Program:
    runs = [
        {"zone": run.zone, "minutes": run.minutes, "cycle": run.cycle, "soak": run.soak} for run in one.runs
    ]
    fields = {"name": one.name, "days": one.days, "starts": list(one.starts)}
    before = newest.get(one.letter)
    if before is None:
        written = enter_program(
            controller=controller, by=by, letter=one.letter, effective=night, runs=runs, **fields
        )
    else:
        written = edit_program(program=before, by=by, effective=night, runs=runs, ended=None, **fields)
    _start_at(written, one.month_percents[night.month - 1], night)
    return written


def _start_at(program: Program, percent: int | None, night: date) -> None:
    """Let a program begin at a percent; what was entered for other minutes no longer holds."""
    Setting.objects.filter(program=program, effective_from__gt=night).delete()
    setting = Setting.objects.filter(program=program, effective_from=night).first() or Setting(
        program=program, effective_from=night
    )
    setting.percent, setting.how, setting.change = 100 if percent is None else percent, "entered", None
    setting.save()
