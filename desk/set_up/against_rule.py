"""Programs found on controllers that water against the site's rule: told, never in the way."""

from datetime import timedelta

from desk.set_up.whole import Box, Snag, Whole
from fleet.models import Controller, Site, WateringRule, Zone
from fleet.selectors.site_rule import at_site
from scheduling.models import Program, ZoneRun
from scheduling.selectors.rule_effect import NIGHTS, Nights
from scheduling.selectors.simulate import Box as Held
from scheduling.selectors.simulate import Entry
from scheduling.services.set_up import SaidProgram


def against_rule(whole: Whole) -> list[Snag]:
    """Return each program found that breaks the rule of the site in a week from today, and what of it."""
    rule = whole.watering_rule
    if rule is None or not whole.found_place.timezone:
        return []
    site = Site(
        pk=-1,
        address=whole.place.values["address"] or "",
        timezone=whole.found_place.timezone,
        watering_rule=rule,
    )
    held = [_held(n, box, site) for n, box in enumerate(whole.boxes, start=1)]
    nights = Nights(1, 0, [(whole.today + timedelta(days=n), held) for n in range(NIGHTS)])
    boxes = dict(zip([one.controller.pk for one in held], whole.boxes, strict=True))
    return [
        _told(boxes[breach.program.controller_id], breach.program, rule, breach.against)
        for breach in nights.breaking(at_site)
    ]


def _told(box: Box, program: Program, rule: WateringRule, against: tuple[str, ...]) -> Snag:
    words = (
        f"{box.name}, program {program.letter}: waters against {rule.name} ({', '.join(against)}). "
        "It is kept as found; a plan keeps to the rule."
    )
    return Snag("found", words, box.key)


def _held(number: int, box: Box, site: Site) -> Held:
    """Return a controller as it was found, in memory; numbers below zero tell its rows apart."""
    controller = Controller(pk=-number, site=site, **box.fields)
    zones = {
        row.number: Zone(pk=-(1000 * number + row.number), controller=controller, **row.fields())
        for row in box.zones
        if row.number is not None
    }
    entries = [
        _entry(-(100 * number + n), one, controller, zones) for n, one in enumerate(box.found.programs)
    ]
    return Held(controller, entries)


def _entry(pk: int, said: SaidProgram, controller: Controller, zones: dict[int, Zone]) -> Entry:
    program = Program(
        pk=pk, controller=controller, letter=said.letter, days=said.days, starts=list(said.starts)
    )
    runs = [
        ZoneRun(program=program, zone=zones[run.zone], minutes=run.minutes, cycle=run.cycle, soak=run.soak)
        for run in said.runs
        if run.zone in zones
    ]
    return Entry(program, runs, percent=said.percent)
