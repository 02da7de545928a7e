"""One zone whose need sets the percent of all: more minutes for it alone would free the others."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from math import ceil

import numpy as np

from scheduling.models import Change, Program
from scheduling.models.detail import Detail
from scheduling.selectors.advice.becoming import holding, with_runs
from scheduling.selectors.advice.found import Found
from scheduling.selectors.advice.look import Floats, Look

DRIVES_POINTS = 20  # so far apart the percents with and without it must be
LEAST_L_WEEK = 200.0  # less water isn't worth anybody's walk to the controller: our own choice
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
        longer = _what_frees(
            look, program, own[0], [r for r in runs if r not in own], change.proposed, without
        )
        if longer is None or longer.spared_l_week < LEAST_L_WEEK:
            continue
        zone, points = change.deciding_zone, change.proposed - longer.percent
        yield Found(
            kind="one zone drives",
            controller=look.controller_of(program),
            program=program,
            zone=zone,
            words=(
                f"Zone {zone.number} {zone.name} alone asks for {change.proposed} % of program "
                f"{program.letter}; the others would do with {without} %. {longer.more:g} minutes more for it"
                f"{'' if longer.percent == without else ', which it needs in the peak month as well,'} free "
                f"{points} points: at {longer.percent} % it gets what {change.proposed} % would give it now."
            ),
            facts={
                "percent": change.proposed,
                "percent_without": without,
                "percent_then": longer.percent,
                "minutes": longer.minutes,
                "minutes_then": longer.minutes + longer.more,
                "spared_l_week": longer.spared_l_week,
            },
            detail=_longer(look, program, zone.pk, minutes=longer.minutes + longer.more),
        )


@dataclass(frozen=True)
class Longer:
    """Minutes of a zone and how many more free a program, and the percent it then runs at.

    ``spared_l_week`` is what the others are spared beside running all of them at the percent it asks for [L].
    """

    minutes: float
    more: float
    percent: int
    spared_l_week: float


def _what_frees(
    look: Look, program: Program, own: int, others: list[int], proposed: int, without: int
) -> Longer | None:
    """Return the minutes that free a program from one zone, None where they are few or only of these days.

    A zone may ask for more because it is dry just now. So it gets no more than what it needs beside the
    others in the peak month, when everything has to be given.
    """
    step = float(look.field.minute_step[own])
    minutes = float(look.field.minutes[own])
    lasting = _peak_percent(look, [own])[0] / max(float(_peak_percent(look, others).max()), 1e-9)
    factor = min(proposed / without, lasting)
    more = ceil((minutes * factor - minutes) / step - 1e-9) * step
    if more <= 0:
        return None
    points = look.controller_of(program).percent_step
    then = max(without, ceil(proposed * minutes / (minutes + more) / points - 1e-9) * points)
    if proposed - then < DRIVES_POINTS:
        return None
    area = look.field.survey.area_m2[look.field.zone_of_run[others]]
    percents = np.array([proposed, then], dtype=np.float64)
    gross = look.field.depths(percents, runs=np.array(others, dtype=np.intp)).gross_mm
    litres = float(((gross[0] - gross[1]) * area).sum()) * look.starts_a_week(program)
    return Longer(minutes, more, then, litres)


def _peak_percent(look: Look, runs: list[int]) -> Floats:
    """Return what share of its minutes each of some runs needs in its peak month, but for one factor. [-]"""
    places = np.array(runs, dtype=np.intp)
    zones = look.field.zone_of_run[places]
    given = np.asarray(look.field.application.rate_mm_h)[places] * look.field.minutes[places]
    return np.asarray(look.peak_mm_day(zones) / look.efficiency(zones) / np.maximum(given, 1e-9))


def _longer(look: Look, program: Program, zone: int, *, minutes: float) -> Detail | None:
    run = holding(look, program).run_of(zone)
    if run is None:
        return None
    return with_runs(look, program, {zone: replace(run, minutes=minutes)})
