"""Which programs would water against a watering rule in the nights to come."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from django.db.models import QuerySet

from fleet.models import Controller, Site, User, WateringRule, Zone
from fleet.selectors.site_rule import at_stage, exempt, side_of, told_for, with_rules
from scheduling.models import Program
from scheduling.selectors.held import held_by
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.simulate import Box, outside_parts, simulate, zone_minutes

NIGHTS = 7
DAY, HOURS, MINUTES, DAYS = "a day it forbids", "outside its hours", "a zone too long a day", "too many days"
AGAINST = (DAY, HOURS, MINUTES, DAYS)
RuleFor = Callable[[Site, date], WateringRule | None]


@dataclass(frozen=True)
class Breach:
    """A program that waters against a rule, and against what of it."""

    program: Program
    against: tuple[str, ...]


@dataclass(frozen=True)
class Nights:
    """The controllers of some open sites and what they hold in each of some nights."""

    sites: int
    programs: int
    held: Sequence[tuple[date, Sequence[Box]]]

    def against(self, rule: WateringRule) -> list[Breach]:
        """Return the programs that break a rule, saved or not, each once."""
        return self.breaking(
            lambda site, night: told_for(rule, side_of(site)) if rule.in_season(night) else None
        )

    def breaking(self, rule_for: RuleFor) -> list[Breach]:
        """Return the programs that break the rules a function gives for sites and nights, each once.

        The days of a week are counted for a site as a whole: any date on which a zone the rule limits waters.
        """
        found: dict[Program, set[str]] = defaultdict(set)
        dates: dict[Site, dict[date, set[Program]]] = defaultdict(lambda: defaultdict(set))
        most: dict[Site, int] = {}
        for night, held in self.held:
            for holds in held:
                site = holds.controller.site
                box = replace(holds, rule=rule_for(site, night))
                if box.rule is None:
                    continue
                if box.rule.days_per_week is not None:
                    most[site] = min(most.get(site, 7), box.rule.days_per_week)
                for program, what, day in _breaches(box, NightClock(night, site.timezone)):
                    dates[site][day].add(program)
                    found[program].update(what)
        for site, days in most.items():
            for program in _too_often(dates[site], days):
                found[program].add(DAYS)
        return [
            Breach(p, tuple(sorted(found[p], key=AGAINST.index)))
            for _, held in self.held[:1]
            for p in sorted(found, key=lambda p: _place(p, held))
            if found[p]
        ]


def _place(program: Program, held: Sequence[Box]) -> tuple[int, str]:
    places = {box.controller.pk: n for n, box in enumerate(held)}
    return places.get(program.controller_id, len(places)), program.letter


def coming_nights(user: User, rule: WateringRule, *, on: date) -> Nights:
    """Return the coming seven nights at the sites a rule holds at, those of its town in its stage.

    Eight queries at the most.
    """
    controllers = Controller.objects.visible_to(user)
    if rule.town_id is None or rule.stage is None:
        return nights_of(controllers.filter(site__watering_rule=rule, site__town=None), first=on)
    stage = rule.stage

    def holds(site: Site) -> bool:
        found = at_stage(site, stage, on)
        return found is not None and found.pk == rule.pk

    return nights_of(controllers.filter(site__town=rule.town_id), first=on, at=holds)


def nights_of(
    controllers: QuerySet[Controller], *, first: date, at: Callable[[Site], bool] | None = None
) -> Nights:
    """Return seven nights of the controllers that are at open sites; eight queries at the most."""
    rows = with_rules(controllers).exclude(site__season=Site.Season.CLOSED).select_related("site__client")
    listed = list(rows.order_by("site__name", "name", "pk"))
    if at is not None:
        listed = [one for one in listed if at(one.site)]
    nights = [first + timedelta(days=n) for n in range(NIGHTS)]
    holding = held_by(listed, first=nights[0], last=nights[-1])
    held = [(night, [holding.box(one, night) for one in listed]) for night in nights]
    return Nights(
        sites=len({controller.site_id for controller in listed}),
        programs=sum(len(box.entries) for box in held[0][1]),
        held=held,
    )


def _too_often(dates: dict[date, set[Program]], most: int) -> set[Program]:
    """Return the programs of a site that waters on more dates of seven than it may."""
    too_often: set[Program] = set()
    for first in dates:
        week = [day for day in dates if first <= day < first + timedelta(days=7)]
        if len(week) > most:
            too_often.update(program for day in week for program in dates[day])
    return too_often


def _breaches(box: Box, clock: NightClock) -> Iterator[tuple[Program, set[str], date]]:
    """Yield each start of a night in which a zone waters that the rule limits, with what it breaks."""
    night = simulate([box], clock=clock, supply_l_min=None)
    late = {event.program.pk for event, _ in outside_parts(box, night.events, clock)}
    limited: dict[int, dict[int, Zone]] = defaultdict(dict)
    for event in night.events:
        if not exempt(box.rule, event.zone):
            limited[event.program.pk][event.zone.pk] = event.zone
    most = box.rule.zone_minutes if box.rule is not None else None
    long = {key for key, took in zone_minutes(box, clock).items() if most and took > most + 1e-6}
    for entry in box.entries:
        program, zones = entry.program, limited[entry.program.pk]
        by_the_day = [zone for zone in zones.values() if zone.pk not in box.permits]
        for day in {clock.day_of(at) for at in program.start_times()} if zones else ():
            if not program.waters_on(day):
                continue
            what = {HOURS} if program.pk in late else set()
            if not all(box.day_allowed(zone, day) for zone in by_the_day):
                what.add(DAY)
            if any((day, zone.number) in long for zone in zones.values()):
                what.add(MINUTES)
            if by_the_day or what:
                yield program, what, day
