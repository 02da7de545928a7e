"""What runs in the coming night at one company's sites, and which nights don't fit their hours."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

import numpy as np
from django.db.models import Q

from fleet.models import Controller, Site
from scheduling.models import Program, Setting, Skip, ZoneRun
from scheduling.numerics.run_times import minutes_at, program_minutes
from scheduling.selectors.last_call import NOON, night_starts, running

FULL_DAY = timedelta(days=1)
RUN = ("program_id", "order", "pk", "minutes", "cycle", "soak", "program__controller__minute_step")


@dataclass(frozen=True)
class Overrun:
    """A controller whose night is longer than the hours it has."""

    controller: Controller
    minutes: int


@dataclass(frozen=True)
class Tonight:
    """The coming night in figures; first start and last finish are wall-clock times of the sites."""

    watering: int
    skipping: int
    closed_sites: int
    first_start: datetime | None
    last_finish: datetime | None
    overruns: Sequence[Overrun]


def tonight(company_id: int, *, night: date) -> Tonight:
    """Return what runs in a night, from programs as entered, percents and skips in force; six queries."""
    controllers = list(
        Controller.objects.of_company(company_id)
        .exclude(site__season=Site.Season.CLOSED)
        .select_related("site__client", "site__watering_rule")
    )
    programs = _programs_of(controllers, night=night)
    skipped = _skipped(programs, night=night)
    due = [p for p in programs if night_starts(p, night=night)]
    took = _minutes([p for p in due if p.pk not in skipped], night=night)
    running_at = defaultdict(list)
    for program in due:
        if took.get(program.pk):
            running_at[program.controller_id].append(program)
    ends, overruns = [], []
    for controller in controllers:
        end = _queue(running_at[controller.pk], took, night=night)
        if end is None:
            continue
        ends.append(end)
        over = end - _hours_end(controller.site, night=night)
        if over > timedelta(0):
            overruns.append(Overrun(controller, minutes=round(over.total_seconds() / 60)))
    starts = [s for p in due if took.get(p.pk) for s in night_starts(p, night=night)]
    return Tonight(
        watering=sum(1 for minutes in took.values() if minutes),
        skipping=sum(1 for p in due if p.pk in skipped),
        closed_sites=Site.objects.of_company(company_id).filter(season=Site.Season.CLOSED).count(),
        first_start=min(starts, default=None),
        last_finish=max(ends, default=None),
        overruns=overruns,
    )


def _programs_of(controllers: Sequence[Controller], *, night: date) -> list[Program]:
    versions: dict[int, list[Program]] = defaultdict(list)
    for program in Program.objects.filter(controller__in=[c.pk for c in controllers]):
        versions[program.controller_id].append(program)
    return [p for own in versions.values() for p in running(own, night=night)]


def _skipped(programs: Iterable[Program], *, night: date) -> set[int]:
    in_force = Q(effective_from__lte=night, effective_to__gte=night)
    return set(
        Skip.objects.filter(in_force, program__in=[p.pk for p in programs]).values_list(
            "program_id", flat=True
        )
    )


def _minutes(programs: Sequence[Program], *, night: date) -> dict[int, float]:
    """Return the minutes one start of each program takes at the percent in force, soaks included."""
    place = {p.pk: n for n, p in enumerate(programs)}
    settings = Setting.objects.filter(program__in=list(place), effective_from__lte=night)
    percent = dict(settings.order_by("effective_from").values_list("program_id", "percent"))
    rows = ZoneRun.objects.filter(program__in=list(place)).order_by().values_list(*RUN)
    runs = np.array([(place[program], *rest) for program, *rest in rows], dtype=np.float64)
    if not runs.size:
        return {}
    owner, _, _, minutes, cycle, soak, step = runs[np.lexsort((runs[:, 2], runs[:, 1], runs[:, 0]))].T
    owner = owner.astype(np.intp)
    held = np.array([percent.get(p.pk, 100) / 100 for p in programs])
    took = program_minutes(
        minutes_at([1.0], minutes * held[owner], step),
        cycle_min=np.where(cycle > 0, cycle, np.inf),  # NaN where none is entered
        soak_min=np.nan_to_num(soak),
        program_of_run=owner,
        programs=len(place),
    )[0]
    return {pk: float(took[n]) for pk, n in place.items()}


def _queue(programs: Iterable[Program], took: dict[int, float], *, night: date) -> datetime | None:
    """Return when a controller's night is over: programs run one after another, as they start."""
    queue = sorted((start, took[p.pk]) for p in programs for start in night_starts(p, night=night))
    free: datetime | None = None
    for start, minutes in queue:
        free = max(start, free or start) + timedelta(minutes=minutes)
    return free


def _hours_end(site: Site, *, night: date) -> datetime:
    """Return when watering must be over: the rule's hour, else the next noon."""
    rule = site.watering_rule
    end: time = rule.hours_to if rule is not None and rule.hours_to is not None else NOON
    return datetime.combine(night if end > NOON else night + FULL_DAY, end)
