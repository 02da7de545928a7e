"""New plans for the controllers that don't comply with a stage: one by one, or a batch at a time."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from common.errors import BluestemError
from fleet.models import Controller, User
from scheduling.selectors.plan.of_controller import Planned, plan_of
from scheduling.selectors.plan.result import DAYS, FLOW, HOURS, MINUTES
from scheduling.services.adopt import adopt_plan

A_BATCH = 5
KEPT_BY_A_PLAN = {HOURS, DAYS, MINUTES, FLOW}


@dataclass
class Adopted:
    """What became of some controllers: those whose plan was entered, and why the others' wasn't."""

    done: list[Controller] = field(default_factory=list)
    left: list[tuple[Controller, str]] = field(default_factory=list)


def why_not(planned: Planned) -> str:
    """Return why a plan can't be adopted without a person looking at it, or nothing."""
    if not planned.plan.programs:
        return "No plan can be made: complete the survey first."
    stop = next((stop for stop in planned.plan.stops if stop.binding in KEPT_BY_A_PLAN), None)
    return stop.reason.sentence if stop is not None else ""


def adopt_plans(*, controllers: Sequence[Controller], by: User, night: date) -> Adopted:
    """Enter a new plan at each controller from a night on, each on its own; what can't be is left.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office.
    """
    found = Adopted()
    for controller in controllers:
        planned = plan_of(controller, night=night, ways=False)
        reason = why_not(planned)
        if not reason:
            try:
                adopt_plan(controller=controller, by=by, effective=night, digest=planned.digest)
            except BluestemError as error:
                reason = error.message
        if reason:
            found.left.append((controller, reason))
        else:
            found.done.append(controller)
    return found
