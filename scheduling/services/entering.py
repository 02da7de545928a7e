"""A decided change is entered at its controller; from then on the service plans from it."""

from datetime import date, timedelta

from django.db import transaction
from django.utils import timezone

from common import clock
from common.errors import Refused
from fleet.models import Controller, User
from fleet.selectors.people import require_enter
from scheduling.models import Change, Delivery, Program, Setting, Skip
from scheduling.services.altering import key_in
from scheduling.services.decisions import checked_note, company_of
from scheduling.services.events import move
from scheduling.services.settings import put_percent
from scheduling.services.withdrawing import require_fits

LATEST_AHEAD = timedelta(days=31)


def apply(
    *,
    change: Change,
    by: User,
    applied_on: date | None = None,
    note: str = "",
    found_percent: int | None = None,
) -> Change:
    """Record that an approved change was entered, in force from the night of ``applied_on``.

    ``found_percent`` is what the controller really ran at when it was reached. If that isn't what the service
    believed, it is kept from the night before on: since when it differed nobody knows, and the account takes
    the least it can be sure of. An alteration makes new versions of its programs.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If the date is before the program existed or more than a month ahead, or the note too long.
    MovedOn
        If the change isn't approved (any more), or a program it alters was changed since.
    """
    require_enter(by, company_of(change))
    today = clock.today(change.program.controller.site.timezone)
    night = applied_on or today
    if night < change.program.effective:
        raise Refused(f"This program only exists from {change.program.effective} on.", field="applied_on")
    if night > today + LATEST_AHEAD:
        raise Refused("That is more than a month ahead.", field="applied_on")
    note = checked_note(note)
    if found_percent is not None and not 0 <= found_percent <= change.program.controller.percent_max:
        most = change.program.controller.percent_max
        raise Refused(f"This controller shows 0 to {most} %.", field="found")
    with transaction.atomic():
        if found_percent is not None and not change.is_skip and found_percent != change.current:
            _put_found(change, found_percent, night - timedelta(days=1))
        if change.is_alteration and change.status == Change.Status.APPROVED:
            Controller.objects.select_for_update().get(pk=change.program.controller_id)
            require_fits(change)
        move(
            change,
            Change.Status.APPLIED,
            from_statuses=(Change.Status.APPROVED,),
            by=by,
            value=change.decided,
            note=note,
            applied_at=timezone.now(),
            applied_on=night,
        )
        if change.is_skip:
            _put_skip(change, night)
        elif change.is_alteration:
            key_in(change, by=by, night=night)
        else:
            _put_percent(change, night)
        Delivery.objects.filter(change=change, state=Delivery.State.WAITING).update(state=Delivery.State.DONE)
    return change


def _put_found(change: Change, percent: int, night: date) -> None:
    """Keep the percent a controller was found at; a setting already known for that night stands."""
    for program in covered_programs(change, on=night):
        if night >= program.effective:
            Setting.objects.get_or_create(
                program=program,
                effective_from=night,
                defaults={"percent": percent, "how": Setting.How.ENTERED},
            )


def covered_programs(change: Change, *, on: date | None = None) -> list[Program]:
    """Return the programs a change is for, in the versions that run in the night of ``on``.

    That is one program, or all that run where one percent serves the controller. A program that was given a
    new version since the change was proposed takes the change in that version.
    """
    running = current_programs(change.program.controller_id, on=on or change.effective_from)
    if not change.whole_controller:
        running = [p for p in running if p.letter == change.program.letter]
    return running or [change.program]


def current_programs(controller_id: int, *, on: date) -> list[Program]:
    """Return the version of each program of a controller that runs in the night of ``on``."""
    newest: dict[str, Program] = {}
    for program in Program.objects.filter(controller=controller_id, effective__lte=on).order_by("effective"):
        newest[program.letter] = program
    return [p for p in newest.values() if p.ended is None or p.ended > on]


def _put_percent(change: Change, night: date) -> None:
    for program in covered_programs(change, on=night):
        percent = int(change.decided or 0)
        put_percent(program=program, night=night, percent=percent, how=Setting.How.CHANGE, change=change)


def _put_skip(change: Change, night: date) -> None:
    """Leave the nights out; of several, those before it was entered were watered."""
    last = change.effective_to or change.effective_from
    first = min(max(change.effective_from, night), last)
    for program in covered_programs(change, on=first):
        Skip.objects.create(
            program=program,
            effective_from=first,
            effective_to=last,
            reason=change.reason[:300],
            group=f"change-{change.pk}",
            change=change,
        )
