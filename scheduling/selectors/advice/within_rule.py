"""The days or starts with which a program would keep its rule, tried on the nights it breaks it."""

from fleet.models.rules import WEEKDAYS
from fleet.selectors.site_rule import rule_of
from scheduling.models import Program
from scheduling.models.detail import Detail
from scheduling.numerics.watering_days import WEEK, fewest_days
from scheduling.selectors.advice.becoming import altered, with_days
from scheduling.selectors.advice.days import written
from scheduling.selectors.advice.look import Look
from scheduling.selectors.arrangement import arrange
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.rule_effect import DAY, DAYS, HOURS, Breach, Nights
from scheduling.selectors.rule_kept import after, broken


def within_the_rule(look: Look, nights: Nights, breach: Breach) -> Detail | None:
    """Return what would keep the rule, or None where neither days alone nor starts alone do.

    It is tried as it would run in the coming nights: nothing is left broken of that program, and nothing is
    broken anywhere on the site that isn't now.
    """
    program, against = breach.program, set(breach.against)
    if not any(one.pk == program.pk for one, _ in look.running):
        return None  # it begins or ends within these nights
    if against <= {DAY, DAYS}:
        found = _days(look, program)
    elif against == {HOURS}:
        found = _starts(look, nights, program)
    else:
        return None
    if found is None:
        return None
    controller = look.controller_of(program)
    now, then = broken(nights), broken(after(nights, controller, found))
    own = {one for one in then if one[:2] == (controller.pk, program.letter)}
    return found if not own and then <= now else None


def _days(look: Look, program: Program) -> Detail | None:
    rule = rule_of(look.site, look.on)
    if rule is None or rule.days_per_week == 0:
        return None
    if rule.parity != "any":
        return with_days(look, program, str(rule.parity)) if program.days != rule.parity else None
    named = rule.weekdays.split() or list(WEEKDAYS)
    own = len(program.days.split()) if program.days not in ("daily", "odd", "even") else WEEK
    most = max(1, min(own, rule.days_per_week or WEEK, len(named)))
    found = written(fewest_days(1.0, allowed=[WEEKDAYS.index(day) for day in named], most=most))
    return with_days(look, program, found) if found != program.days else None


def _starts(look: Look, nights: Nights, program: Program) -> Detail | None:
    """Return other starts, found with those of the controllers on the same source."""
    controller = look.controller_of(program)
    night, boxes = nights.held[0]
    sharing = [
        box
        for box in boxes
        if box.controller.pk == controller.pk
        or (controller.source_id is not None and box.controller.source_id == controller.source_id)
    ]
    clock = NightClock(night, look.site.timezone)
    supply = controller.source.flow_l_min if controller.source is not None else None
    for one in arrange(sharing, clock=clock, supply_l_min=supply).proposed:
        if one.program.pk == program.pk and list(one.starts) != list(program.starts):
            return Detail((altered(look, program, starts=tuple(one.starts)),))
    return None
