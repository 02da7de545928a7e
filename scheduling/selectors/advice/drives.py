"""One zone whose need sets the percent of all: more minutes for it alone would free the others."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from math import ceil

import numpy as np

from scheduling.models import Change, Program
from scheduling.models.detail import Detail
from scheduling.selectors.advice.becoming import holding, with_runs
from scheduling.selectors.advice.found import Found
from scheduling.selectors.advice.look import Look

DRIVES_POINTS = 20  # so far apart the percents with and without it must be
KNOWN_FOR = timedelta(days=7)


def drives_a_program(look: Look) -> Iterator[Found]:
    """Yield the zones that the newest search of a program named, if it would need much less without them."""
    newest: dict[int, Change] = {}
    since = look.on - KNOWN_FOR
    changes = Change.objects.filter(
        program__controller__site=look.site, kind=Change.Kind.PERCENT, effective_from__gte=since
    )
    standing = changes.filter(
        status__in=[Change.Status.PENDING, Change.Status.APPROVED, Change.Status.APPLIED]
    )
    for change in standing.select_related("deciding_zone").order_by("pk"):
        newest[change.program_id] = change
    for program, runs in look.running:
        found = newest.get(program.pk)
        if found is None:
            continue
        change = found
        if change.whole_controller or change.deciding_zone is None or not change.proposed:
            continue
        without = change.inputs.get("percent_without_deciding")
        if not without or change.proposed - without < DRIVES_POINTS:
            continue
        own = [r for r in runs if look.zone(int(look.field.zone_of_run[r])).pk == change.deciding_zone_id]
        if not own or len(own) == len(runs):
            continue
        step = float(look.field.minute_step[own[0]])
        minutes = float(look.field.minutes[own[0]])
        more = ceil((minutes * change.proposed / without - minutes) / step - 1e-9) * step
        others = [r for r in runs if r not in own]
        area = look.field.survey.area_m2[look.field.zone_of_run[others]]
        percents = np.array([change.proposed, without], dtype=np.float64)
        gross = look.field.depths(percents, runs=np.array(others, dtype=np.intp)).gross_mm
        litres = float(((gross[0] - gross[1]) * area).sum()) * look.starts_a_week(program)
        zone = change.deciding_zone
        yield Found(
            kind="one zone drives",
            controller=look.controller_of(program),
            program=program,
            zone=zone,
            litres_week=litres,
            words=(
                f"Zone {zone.number} {zone.name} alone asks for {change.proposed} % of program "
                f"{program.letter}; the others would do with {without} %. {more:g} minutes more for it free "
                f"{change.proposed - without} points."
            ),
            facts={
                "percent": change.proposed,
                "percent_without": without,
                "minutes": minutes,
                "minutes_then": minutes + more,
            },
            detail=_longer(look, program, zone.pk, minutes=minutes + more),
        )


def _longer(look: Look, program: Program, zone: int, *, minutes: float) -> Detail | None:
    run = holding(look, program).run_of(zone)
    if run is None:
        return None
    return with_runs(look, program, {zone: replace(run, minutes=minutes)})
