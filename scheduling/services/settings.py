"""The percents controllers run at: as found there, or entered other than by a change."""

from datetime import date, timedelta
from typing import Any

from django.db import transaction

from common import clock
from common.errors import MovedOn, Refused
from fleet.models import User
from fleet.selectors.people import require_enter, require_set_up
from fleet.services.storing import store
from fleet.tenancy import company_id_of
from scheduling.models import Change, Program, Setting

LATEST_AHEAD = timedelta(days=31)
FIELDS = ("percent", "how", "change")


@transaction.atomic
def enter_setting(
    *,
    program: Program,
    by: User,
    percent: int,
    effective_from: date,
    how: str = Setting.How.FOUND,
) -> Setting:
    """Store the percent a program runs at from a night on.

    Technicians say what they found; the owner and the office also what they entered.

    Raises
    ------
    NotAllowed
        If it isn't this person's to say.
    Refused
        If the controller can't hold the percent, the night can't be, or one is known for it already.
    """
    require_enter(by, company_id_of(program))
    if how == Setting.How.CHANGE:
        raise Refused("What was decided is entered at its change.", field="how")
    if how != Setting.How.FOUND:
        require_set_up(by, company_id_of(program))
    _check_percent(program, percent, how=how)
    _check_night(program, effective_from, how=how)
    known = Setting.objects.filter(program=program, effective_from=effective_from).first()
    if known and not (known.how == Setting.How.FOUND and how == Setting.How.ENTERED):
        raise Refused(
            f"{known.percent} % is known for this night already; edit that.", field="effective_from"
        )
    return put_percent(program=program, night=effective_from, percent=percent, how=how)


@transaction.atomic
def edit_setting(*, setting: Setting, by: User, **fields: Any) -> Setting:
    """Set a percent right that was typed wrong; it stays with its program and night.

    Raises as ``enter_setting``, and MovedOn if it was entered as decided.
    """
    require_enter(by, company_id_of(setting))
    if setting.how != Setting.How.FOUND:
        require_set_up(by, company_id_of(setting))
    if setting.how == Setting.How.CHANGE:
        raise MovedOn("This was entered as decided; enter another percent.", current_status=setting.how)
    _check_percent(setting.program, fields.get("percent", setting.percent), how=setting.how)
    store(setting, fields=fields, may_set=("percent",), once="effective_from")
    return setting


def put_percent(
    *, program: Program, night: date, percent: int, how: str, change: Change | None = None
) -> Setting:
    """Store a percent from a night on, in the place of one that was entered for it before.

    One that was found for that night is a fact of its own and moves to the night before: so long at least it
    held, since when nobody knows.

    Raises
    ------
    Refused
        If something is known for the night before as well, so that what was found has nowhere to go.
    """
    with transaction.atomic():
        there = Setting.objects.select_for_update().filter(program=program, effective_from=night).first()
        if there and there.how == Setting.How.FOUND:
            _move_found(there, to=night - timedelta(days=1))
            there = None
        setting = there or Setting(program=program, effective_from=night)
        said = {"percent": percent, "how": how, "change": change}
        store(setting, fields=said, may_set=FIELDS, once="effective_from")
    return setting


def _move_found(found: Setting, *, to: date) -> None:
    if Setting.objects.filter(program=found.program_id, effective_from=to).exists():
        raise Refused(
            f"For this night the controller was found at {found.percent} %, and a percent is known for the "
            "night before; say that it is in force from the next night.",
            field="applied_on",
        )
    found.effective_from = to
    found.save(update_fields=["effective_from"])


def _check_percent(program: Program, percent: int, *, how: str) -> None:
    controller = program.controller
    if not 0 <= percent <= controller.percent_max:
        raise Refused(f"This controller takes 0 to {controller.percent_max} %.", field="percent")
    if how != Setting.How.FOUND and percent % controller.percent_step:
        raise Refused(f"This controller holds steps of {controller.percent_step} %.", field="percent")


def _check_night(program: Program, night: date, *, how: str) -> None:
    today = clock.today(program.controller.site.timezone)
    if night < program.effective:
        raise Refused(f"This program only exists from {program.effective} on.", field="effective_from")
    if how == Setting.How.FOUND and night > today:
        raise Refused("Nobody can have found that yet.", field="effective_from")
    if night > today + LATEST_AHEAD:
        raise Refused("That is more than a month ahead.", field="effective_from")
