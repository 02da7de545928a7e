"""What runs in the coming night at one company's sites, and which nights don't fit their hours."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np
from django.db.models import Q

from fleet.models import Controller, Site
from fleet.selectors.site_rule import with_rules
from scheduling.models import Program, Setting, Skip, ZoneRun
from scheduling.numerics.run_times import minutes_at, program_minutes
from scheduling.selectors.last_call import night_starts, running
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.night_queue import TOO_SHORT_TO_TELL, Fit, night_hours, one_night

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
        with_rules(Controller.objects.of_company(company_id))
        .exclude(site__season=Site.Season.CLOSED)
        .select_related("site__client")
    )
    programs = _programs_of(controllers, night=night)
    skipped = _skipped(programs, night=night)
    due = [p for p in programs if night_starts(p, night=night)]
    took, heads = _minutes([p for p in due if p.pk not in skipped], night=night)
    running_at = defaultdict(list)
    for program in due:
        if took.get(program.pk):
            running_at[program.controller_id].append(program)
    ends, overruns = [], []
    for controller in controllers:
        fit = _fit(controller, running_at[controller.pk], took, heads, night=night)
        if fit is None:
            continue
        end = NightClock(night, controller.site.timezone).moment(float(fit.free[0]))
        ends.append(end.replace(tzinfo=None))
        if (over := float(fit.past[0])) > TOO_SHORT_TO_TELL:
            overruns.append(Overrun(controller, minutes=round(over)))
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


def _minutes(
    programs: Sequence[Program], *, night: date
) -> tuple[dict[int, float], dict[int, frozenset[str]]]:
    """Return the minutes one start of each program takes at the percent in force, and its heads."""
    place = {p.pk: n for n, p in enumerate(programs)}
    settings = Setting.objects.filter(program__in=list(place), effective_from__lte=night)
    percent = dict(settings.order_by("effective_from").values_list("program_id", "percent"))
    rows = list(ZoneRun.objects.filter(program__in=list(place)).order_by().values_list(*RUN, "zone__head"))
    runs = np.array([(place[program], *rest) for program, *rest, _ in rows], dtype=np.float64)
    if not runs.size:
        return {}, {}
    heads: dict[int, set[str]] = defaultdict(set)
    for program, *_, head in rows:
        heads[program].add(head)
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
    minutes = {pk: float(took[n]) for pk, n in place.items()}
    return minutes, {pk: frozenset(own) for pk, own in heads.items()}


def _fit(
    controller: Controller,
    programs: Sequence[Program],
    took: dict[int, float],
    heads: dict[int, frozenset[str]],
    *,
    night: date,
) -> Fit | None:
    """Return how a controller's night turns out, or None where nothing runs."""
    if not programs:
        return None
    starts = {p.pk: [start.time() for start in night_starts(p, night=night)] for p in programs}
    minutes = {p.pk: np.array([took[p.pk]]) for p in programs}
    return one_night(starts, minutes, night_hours(controller.site, night), controller.site, heads)
