"""Which programs would water against a watering rule in the nights to come."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from fleet.models import Controller, Site, User, WateringRule
from scheduling.models import Program
from scheduling.selectors.held import held_by
from scheduling.selectors.hours import allowed_spans, day_allowed, outside_of
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.simulate import Box, simulate

NIGHTS = 7


@dataclass(frozen=True)
class Breach:
    """A program that waters against a rule, and against what of it."""

    program: Program
    against: tuple[str, ...]


@dataclass(frozen=True)
class Nights:
    """The controllers of a rule's open sites and what they hold in each of the coming nights."""

    sites: int
    programs: int
    held: Sequence[tuple[date, Sequence[Box]]]

    def against(self, rule: WateringRule) -> list[Breach]:
        """Return the programs that break a rule, saved or not, each once."""
        found: dict[Program, set[str]] = defaultdict(set)
        dates: dict[Program, set[date]] = defaultdict(set)
        for night, held in self.held:
            for box in held:
                clock = NightClock(night, box.controller.site.timezone)
                for program, what, day in _breaches(replace(box, rule=rule), clock):
                    dates[program].add(day)
                    found[program].update(what)
        for program, days in dates.items():
            if rule.days_per_week is not None and len(days) > rule.days_per_week:
                found[program].add("too many days")
        return [Breach(p, tuple(sorted(what))) for p, what in found.items() if what]


def coming_nights(user: User, rule: WateringRule, *, on: date) -> Nights:
    """Return the coming seven nights under a rule; five queries."""
    controllers = list(
        Controller.objects.visible_to(user)
        .filter(site__watering_rule=rule)
        .exclude(site__season=Site.Season.CLOSED)
        .select_related("site__client", "site__watering_rule")
        .order_by("site__name", "name", "pk")
    )
    nights = [on + timedelta(days=n) for n in range(NIGHTS)]
    rows = held_by(controllers, first=nights[0], last=nights[-1])
    held = [(night, [rows.box(one, night) for one in controllers]) for night in nights]
    first = held[0][1]
    return Nights(
        sites=len({controller.site_id for controller in controllers}),
        programs=sum(len(box.entries) for box in first),
        held=held,
    )


def _breaches(box: Box, clock: NightClock) -> Iterator[tuple[Program, set[str], date]]:
    """Yield each start of a night with what it breaks."""
    night = simulate([box], clock=clock, supply_l_min=None)
    allowed = allowed_spans(box.rule, clock)
    late = {
        event.program.pk
        for event in night.events
        if outside_of((clock.minute_of(event.start), clock.minute_of(event.end)), allowed)
    }
    ran = {event.program.pk for event in night.events}
    for entry in box.entries:
        program = entry.program
        for at in program.start_times() if program.pk in ran else []:
            day = clock.day_of(at)
            if program.waters_on(day):
                wrong = set() if day_allowed(box.rule, day) else {"a day it forbids"}
                yield program, wrong | ({"outside its hours"} if program.pk in late else set()), day
