"""Programs that water on days or in hours their rule forbids, in the coming week."""

from collections.abc import Iterator

from fleet.models import Controller
from fleet.selectors.site_rule import rule_of
from scheduling.selectors.advice.found import Found
from scheduling.selectors.advice.look import Look
from scheduling.selectors.advice.within_rule import within_the_rule
from scheduling.selectors.rule_effect import nights_of


def outside_the_rule(look: Look) -> Iterator[Found]:
    """Yield each program that breaks the rule in force at its site."""
    if look.site.watering_rule_id is None and look.site.town_id is None:
        return  # nothing to break, and no night to be read
    nights = nights_of(Controller.objects.filter(site=look.site), first=look.on)
    for breach in nights.breaking(rule_of):
        rule = rule_of(look.site, look.on)
        name = rule.name if rule is not None else "its rule"
        yield Found(
            kind="outside the rule",
            controller=look.controller_of(breach.program),
            program=breach.program,
            risk=2,
            words=f"Program {breach.program.letter} waters against {name}: {', '.join(breach.against)}.",
            facts={"against": list(breach.against)},
            detail=within_the_rule(look, nights, breach),
        )
