"""What controllers hold in some nights: their programs, percents and skips in force, read once for all."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from fleet.models import Controller, ZoneEpisode
from fleet.selectors.site_rule import load_rules, permit_on, rule_of
from scheduling.models import Program, Setting, Skip, ZoneRun
from scheduling.selectors.last_call import running
from scheduling.selectors.simulate import Box, Entry


@dataclass(frozen=True)
class Held:
    """The rows of some controllers, each list by the row it belongs to."""

    programs: dict[int, list[Program]]
    settings: dict[int, list[tuple[date, int]]]
    skips: dict[int, list[tuple[date, date, str]]]
    runs: dict[int, list[ZoneRun]]
    plantings: dict[int, dict[int, list[ZoneEpisode]]]

    def box(self, controller: Controller, night: date) -> Box:
        """Return what a controller holds in a night; with the rule of its site."""
        entries = [
            Entry(
                program,
                self.runs[program.pk],
                percent=self._percent(program, night),
                skipped=self.skip_reason(program, night) is not None,
            )
            for program in running(self.programs[controller.pk], night=night)
        ]
        permits = {
            zone: permit
            for zone, episodes in self.plantings[controller.pk].items()
            if (permit := permit_on(episodes, night)) is not None
        }
        return Box(controller, entries, rule=rule_of(controller.site, night), permits=permits)

    def skip_reason(self, program: Program, night: date) -> str | None:
        """Return why a program leaves a night out, or None."""
        return next((why for first, last, why in self.skips[program.pk] if first <= night <= last), None)

    def _percent(self, program: Program, night: date) -> int:
        return next((q for since, q in reversed(self.settings[program.pk]) if since <= night), 100)


def held_by(controllers: Sequence[Controller], *, first: date, last: date) -> Held:
    """Return what controllers hold in the nights from ``first`` to ``last``, in five queries.

    The rules of their sites come with them, in one or two more, where they aren't loaded yet.
    """
    load_rules(controllers)
    place = {controller.pk: controller for controller in controllers}
    held = Held(
        programs=defaultdict(list),
        settings=defaultdict(list),
        skips=defaultdict(list),
        runs=defaultdict(list),
        plantings=defaultdict(lambda: defaultdict(list)),
    )
    for program in Program.objects.filter(controller__in=place).order_by("letter", "effective"):
        program.controller = place[program.controller_id]
        held.programs[program.controller_id].append(program)
    ids = [program.pk for own in held.programs.values() for program in own]
    settings = Setting.objects.filter(program__in=ids, effective_from__lte=last).order_by("effective_from")
    for pk, since, percent in settings.values_list("program_id", "effective_from", "percent"):
        held.settings[pk].append((since, percent))
    skips = Skip.objects.filter(program__in=ids, effective_to__gte=first, effective_from__lte=last)
    for pk, begin, end, why in skips.values_list("program_id", "effective_from", "effective_to", "reason"):
        held.skips[pk].append((begin, end, why))
    for run in ZoneRun.objects.filter(program__in=ids).select_related("zone").order_by("order", "pk"):
        held.runs[run.program_id].append(run)
    grown = ZoneEpisode.objects.filter(
        kind=ZoneEpisode.Kind.GROW_IN, zone__controller__in=place, effective_from__lte=last
    ).exclude(permit="")
    for episode in grown.select_related("zone"):
        held.plantings[episode.zone.controller_id][episode.zone_id].append(episode)
    return held
