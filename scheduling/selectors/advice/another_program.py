"""Where a zone that is watered with unlike ones would go: a program of zones like it, or one of its own."""

from math import floor

import numpy as np

from fleet.models.rules import WEEKDAYS
from fleet.numerics.plants import PLANTS
from fleet.selectors.site_rule import rule_of
from scheduling.models import Program
from scheduling.models.detail import Altered, Detail, Holds, Ran
from scheduling.models.programs import DAY_MINUTES, DAY_PATTERNS
from scheduling.numerics.grouping import days_of_water
from scheduling.numerics.splitting import up_to_step
from scheduling.numerics.watering_days import WEEK, fewest_days
from scheduling.selectors.advice.becoming import holding, moved, unused_letter
from scheduling.selectors.advice.look import Look
from scheduling.selectors.advice.soak import cycle_and_soak

ALIKE = 2.0  # times as long at the most: further apart it would be among unlike zones again
Target = Program | Altered


def another_program(look: Look, program: Program, run: int) -> Detail | None:
    """Return a zone's move to the program it fits best, or to a letter of its own; None where none is free.

    ``run`` is the place of its run. Its minutes there give what it needs in a week like the coming one, at
    the percent that program runs at.
    """
    place = int(look.field.zone_of_run[run])
    target = _alike(look, program, place) or _own(look, program, place)
    if target is None:
        return None
    minutes = _minutes(look, place, run, target)
    if not 0 < minutes <= DAY_MINUTES:
        return None
    zone = look.zone(place)
    cycle, soak = cycle_and_soak(look, run, minutes)
    ran = Ran(zone.pk, zone.number, zone.name, minutes, cycle, soak)
    return moved(look, program, zone.pk, to=target, run=ran)


def _lasts(look: Look, places: list[int]) -> list[float]:
    zones = np.array(places, dtype=np.intp)
    peak = np.maximum(look.peak_mm_day(zones), 0.01)
    return [float(days) for days in days_of_water(look.field.survey.raw_mm[zones], peak)]


def _alike(look: Look, program: Program, place: int) -> Program | None:
    """Return the other program of the controller whose soils last most nearly as long, within bounds."""
    [own] = _lasts(look, [place])
    found: list[tuple[float, str, Program]] = []
    for other, runs in look.running:
        if other.controller_id != program.controller_id or other.pk == program.pk or not runs.size:
            continue
        zones = [int(zone) for zone in np.unique(look.field.zone_of_run[runs])]
        if place in zones or not look.starts_a_week(other) or not look.percent_of(other):
            continue
        theirs = float(np.median(_lasts(look, zones)))
        found.append((max(own / theirs, theirs / own), other.letter, other))
    best = min(found, key=lambda one: one[:2], default=None)
    return best[2] if best is not None and best[0] < ALIKE else None


def _own(look: Look, program: Program, place: int) -> Altered | None:
    """Return a new program on some of the days of the one the zone leaves, as its soil bridges them."""
    letter = unused_letter(look, program)
    if letter is None or not program.starts:
        return None
    whole = look.controller_of(program).percent_scope == "controller"
    return Altered(
        letter=letter,
        name=PLANTS[look.zone(place).plant].name,
        program=None,
        before=None,
        after=Holds(
            days=_days(look, program, place),
            starts=(str(program.starts[0]),),
            percent=look.percent_of(program) if whole else 100,
            runs=(),
        ),
    )


def _days(look: Look, program: Program, place: int) -> str:
    rule = rule_of(look.site, look.on)
    if program.days in ("odd", "even") or (rule is not None and rule.parity != "any"):
        return program.days
    named = list(WEEKDAYS) if program.days in DAY_PATTERNS else program.days.split()
    bridged = max(1, floor(_lasts(look, [place])[0] + 1e-9))
    found = fewest_days(float(bridged), allowed=[WEEKDAYS.index(day) for day in named], most=WEEK)
    return " ".join(WEEKDAYS[day] for day in found.weekdays)


def _minutes(look: Look, place: int, run: int, target: Target) -> float:
    """Return the minutes at 100 percent that give a zone its week: t = 60 d / (PR E). [min]"""
    if isinstance(target, Altered):
        days, starts, percent = target.after.days, target.after.starts, target.after.percent
    else:
        held = holding(look, target)
        days, starts, percent = held.days, held.starts, held.percent
    runs = Program(days=days, starts=list(starts), letter="?", controller_id=0, effective=look.on)
    times, zones = look.starts_a_week(runs), np.array([place], dtype=np.intp)
    rate = float(np.asarray(look.field.application.rate_mm_h)[run])
    if not times or not percent or not rate:
        return 0.0
    gross = float((look.need_mm_week(zones) / look.efficiency(zones))[0]) / times
    step = float(look.field.minute_step[run])
    return up_to_step(60.0 * gross / rate / (percent / 100.0), step)
