"""New plans for the controllers that don't comply with a stage: one by one, or a batch at a time."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from common.errors import BluestemError
from fleet.models import Controller, User
from scheduling.selectors.plan.of_controller import Planned, plan_of
from scheduling.selectors.plan.reason import Fact, Reason
from scheduling.selectors.plan.result import DAYS, FLOW, HOURS, MINUTES
from scheduling.services.adopt import adopt_plan

A_BATCH = 5
KEPT_BY_A_PLAN = {HOURS, DAYS, MINUTES, FLOW}


@dataclass
class Adopted:
    """What became of some controllers: those whose plan was entered, and why the others' wasn't."""

    done: list[Controller] = field(default_factory=list)
    left: list[tuple[Controller, Reason]] = field(default_factory=list)


def why_not(planned: Planned) -> Reason | None:
    """Return why a plan can't be adopted without a person looking at it, None if it can."""
    if not planned.plan.programs:
        return Reason("No plan can be made: complete the survey first.")
    stop = next((stop for stop in planned.plan.stops if stop.binding in KEPT_BY_A_PLAN), None)
    return stop.reason if stop is not None else None


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
        if reason is None:
            try:
                adopt_plan(controller=controller, by=by, effective=night, digest=planned.digest)
            except BluestemError as error:
                reason = Reason("{words}", {"words": Fact(error.message)})
        if reason is not None:
            found.left.append((controller, reason))
        else:
            found.done.append(controller)
    return found
