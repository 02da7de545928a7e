"""Watering days too far apart for what the soil of a zone holds."""

from collections.abc import Iterator
from datetime import timedelta
from math import floor, inf

import numpy as np

from fleet.models.rules import WEEKDAYS
from fleet.selectors.site_rule import rule_of
from scheduling.models import Program
from scheduling.models.detail import Detail
from scheduling.numerics.watering_days import WEEK, Days, fewest_days
from scheduling.season.nights import waterings
from scheduling.selectors.advice.becoming import with_days
from scheduling.selectors.advice.found import Found
from scheduling.selectors.advice.look import Look

LEAST_OVER = 0.1  # of the readily available water
MUCH_OVER = 0.3


def too_few_days(look: Look) -> Iterator[Found]:
    """Yield for each program the zone that dries out most between waterings in its peak month."""
    for program, runs in look.running:
        zones = np.unique(look.field.zone_of_run[runs])
        if not zones.size:
            continue
        gap = longest_gap(look, program)
        raw, need = look.field.survey.raw_mm[zones], look.peak_mm_day(zones)
        over = (gap * need - raw) / raw if gap != inf else np.full(zones.size, inf)
        worst = int(np.argmax(over))
        if over[worst] < LEAST_OVER or need[worst] <= 0:
            continue
        interval = max(1, floor(float(raw[worst] / need[worst]) + 1e-9))
        zone = look.zone(int(zones[worst]))
        yield Found(
            kind="too few days",
            controller=look.controller_of(program),
            program=program,
            zone=zone,
            risk=2 if over[worst] >= MUCH_OVER else 1,
            words=(
                f"The soil of zone {zone.number} {zone.name} lasts {_days(interval)} in its peak month; "
                f"program {program.letter} leaves up to {_days(gap)} between waterings. "
                f"{_would_do(look, interval, gap)}"
            ),
            facts={"interval_days": interval, "gap_days": gap, "over_share": float(over[worst])},
            detail=_more_days(look, program, interval, gap),
        )


def longest_gap(look: Look, program: Program) -> float:
    """Return the longest time from one watering day to the next in the coming four weeks. [d]"""
    starts = waterings([program], first=look.on + timedelta(days=2), count=5 * WEEK)[:, 0]
    days = np.flatnonzero(starts)
    return float(np.diff(days).max()) if days.size > 1 else inf


def _closer(look: Look, interval: int) -> Days | None:
    """Return the fewest days the rule allows that the soil bridges, None where the rule sets the dates."""
    rule = rule_of(look.site, look.on)
    named = rule.weekdays.split() if rule is not None and rule.weekdays else list(WEEKDAYS)
    if rule is not None and rule.parity != "any":
        return None
    most = min(rule.days_per_week or WEEK, WEEK) if rule is not None else WEEK
    return fewest_days(float(interval), allowed=[WEEKDAYS.index(day) for day in named], most=max(1, most))


def _more_days(look: Look, program: Program, interval: int, gap: float) -> Detail | None:
    found = _closer(look, interval)
    if found is None or found.longest_gap >= gap:
        return None
    return with_days(look, program, written(found))


def written(days: Days) -> str:
    """Return weekdays as a program holds them."""
    return " ".join(WEEKDAYS[day] for day in days.weekdays)


def _would_do(look: Look, interval: int, gap: float) -> str:
    found = _closer(look, interval)
    if found is None:
        return "Its watering rule sets the dates: deeper roots, mulch or a permit are what is left."
    if found.longest_gap >= gap:
        return "Its watering rule allows no days closer together."
    words = " ".join(WEEKDAYS[day].capitalize() for day in found.weekdays)
    much = "would do" if found.longest_gap <= interval else f"would leave {_days(found.longest_gap)} at most"
    return f"{words} {much}."


def _days(days: float) -> str:
    if days == inf:
        return "weeks"
    return "1 day" if days == 1 else f"{days:g} days"
