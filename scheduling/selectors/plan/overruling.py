"""What a person overrules, checked: only what this controller's rows and clock can hold."""

import re
from collections.abc import Mapping, Sequence
from math import isfinite
from typing import Any

from common.errors import Refused
from fleet.models import Zone
from fleet.models.rules import WEEKDAYS
from scheduling.models.programs import CLOCK, DAY_MINUTES, DAY_PATTERNS
from scheduling.selectors.plan.asked import Overrides, ProgramOverride, ZoneOverride

LETTER = re.compile(r"[A-Z]")
MOST_STARTS = 24
LEAST = {"minutes": 0.0, "cycle": 1.0, "soak": 0.0}


def overrides_of(
    zones: Mapping[int, Mapping[str, Any]],
    programs: Mapping[str, Mapping[str, Any]],
    *,
    known: Sequence[Zone],
) -> Overrides:
    """Return what is overruled, by number of a zone and letter of a program.

    Parameters
    ----------
    zones
        By the key of a zone: ``program``, ``minutes``, ``cycle``, ``soak``; what is missing or None stays as
        planned.
    programs
        By letter: ``days``, ``starts``.
    known
        The zones there are; each is asked for by its primary key.

    Raises
    ------
    Refused
        Naming the field, as ``zones.12.minutes``.
    """
    numbers = {zone.pk: zone.number for zone in known}
    by_number: dict[int, ZoneOverride] = {}
    for key, said in zones.items():
        if key not in numbers:
            raise Refused("There is no such zone here.", field=f"zones.{key}")
        wish = _zone(said, f"zones.{key}")
        if wish != ZoneOverride():
            by_number[numbers[key]] = wish
    by_letter: dict[str, ProgramOverride] = {}
    for letter, words in programs.items():
        if not LETTER.fullmatch(letter):
            raise Refused("Write a program's letter, A to Z.", field=f"programs.{letter[:20]}")
        changed = _program(words, f"programs.{letter}")
        if changed != ProgramOverride():
            by_letter[letter] = changed
    return Overrides(by_number, by_letter)


def _zone(said: Mapping[str, Any], field: str) -> ZoneOverride:
    letter = said.get("program")
    if letter is not None and not LETTER.fullmatch(letter):
        raise Refused("Write a program's letter, A to Z.", field=f"{field}.program")
    return ZoneOverride(program=letter, **{name: _minutes(said, name, field) for name in LEAST})


def _minutes(said: Mapping[str, Any], name: str, field: str) -> float | None:
    value = said.get(name)
    if value is None:
        return None
    if not isfinite(value) or not LEAST[name] <= value <= DAY_MINUTES:
        raise Refused(
            f"Write {LEAST[name]:g} to {DAY_MINUTES} minutes.",
            field=f"{field}.{name}",
        )
    return float(value)


def _program(said: Mapping[str, Any], field: str) -> ProgramOverride:
    days, starts = said.get("days"), said.get("starts")
    if days is not None and days not in DAY_PATTERNS:
        words = set(days.split())
        if not words or not words <= set(WEEKDAYS):
            raise Refused("Write daily, odd, even, or weekdays such as mon wed fri.", field=f"{field}.days")
        days = " ".join(word for word in WEEKDAYS if word in words)
    if starts is not None:
        if not 0 < len(starts) <= MOST_STARTS or len(set(starts)) < len(starts):
            raise Refused(f"Write 1 to {MOST_STARTS} different starts.", field=f"{field}.starts")
        if not all(CLOCK.fullmatch(start) for start in starts):
            raise Refused("Write each start as HH:MM, for example 04:30.", field=f"{field}.starts")
        starts = tuple(starts)
    return ProgramOverride(days, starts)
