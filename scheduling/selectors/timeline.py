"""The night of a controller as its rows say it will be, with the controllers that share its water."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date

from django.db.models import Q

from fleet.models import Controller
from scheduling.models import Program, Setting, Skip, ZoneRun
from scheduling.selectors.last_call import running
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.simulate import Box, Entry, Night, simulate


def timeline(controller: Controller, *, night: date) -> Night:
    """Return the night of a controller and of those on the same water source; a fixed number of queries.

    Programs, percents and skips are those in force in that night. A rain or freeze sensor may still hold a
    controller back: nobody knows that beforehand.
    """
    sharing = Q(pk=controller.pk)
    if controller.source_id is not None:
        sharing |= Q(source=controller.source_id)
    controllers = list(
        Controller.objects.filter(sharing)
        .exclude(site__season="closed")
        .select_related("site__watering_rule", "source")
        .order_by("pk")
    )
    return simulate(
        boxes(controllers, night=night),
        clock=NightClock(night, controller.site.timezone),
        supply_l_min=controller.source.flow_l_min if controller.source is not None else None,
    )


def boxes(controllers: Sequence[Controller], *, night: date) -> list[Box]:
    """Return what controllers hold in a night, in four queries."""
    ids = [controller.pk for controller in controllers]
    programs = _running(ids, night=night)
    program_ids = [program.pk for own in programs.values() for program in own]
    runs: dict[int, list[ZoneRun]] = defaultdict(list)
    for run in ZoneRun.objects.filter(program__in=program_ids).select_related("zone").order_by("order", "pk"):
        runs[run.program_id].append(run)
    settings = Setting.objects.filter(program__in=program_ids, effective_from__lte=night)
    percents = dict(settings.order_by("effective_from").values_list("program_id", "percent"))
    in_force = Q(effective_from__lte=night, effective_to__gte=night, program__in=program_ids)
    skipped = set(Skip.objects.filter(in_force).values_list("program_id", flat=True))
    return [
        Box(
            controller,
            [
                Entry(p, runs[p.pk], percent=percents.get(p.pk, 100), skipped=p.pk in skipped)
                for p in programs[controller.pk]
            ],
            rule=controller.site.watering_rule,
        )
        for controller in controllers
    ]


def _running(controller_ids: Sequence[int], *, night: date) -> dict[int, list[Program]]:
    versions: dict[int, list[Program]] = defaultdict(list)
    for program in Program.objects.filter(controller__in=controller_ids):
        versions[program.controller_id].append(program)
    return {pk: running(versions[pk], night=night) for pk in controller_ids}
