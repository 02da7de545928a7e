"""Zones from a CSV file, one line each, by the names the API gives their fields."""

from collections.abc import Iterable
from typing import Final

import numpy as np
from django.core.validators import MaxValueValidator, MinValueValidator

from common.errors import Refused
from fleet.models import Zone
from fleet.numerics.plants import PLANTS
from scheduling.season.survey import KNOWN, assumed_of, missing_of, survey_arrays
from scheduling.selectors.replay.csv_lines import refuse, rows_of
from scheduling.selectors.replay.plots import Plots, cycles_and_soaks

WORDS: Final = ("name", "plant", "head", "soil", "sun")
NUMBERS: Final = (
    "slope_percent",
    "area_m2",
    "root_depth_mm",
    "wetted_share",
    "precipitation_rate_mm_h",
    "uniformity",
    "flow_l_min",
)
COLUMNS: Final = ("number", *WORDS, *NUMBERS)
NEEDED: Final = ("plant", "head", "soil", "sun", "slope_percent", "area_m2", "uniformity")
MOST_ZONES: Final = 2_000
MOST_NUMBER: Final = 9_999
WHAT: Final = "The zones"
FIELDS: Final = {field.name: field for field in Zone._meta.fields}


def _range(name: str) -> tuple[float, float]:
    """Return what the survey of a zone takes for a number."""
    low, high = (
        next(one.limit_value for one in FIELDS[name].validators if isinstance(one, kind))
        for kind in (MinValueValidator, MaxValueValidator)
    )
    return float(low), float(high)


RANGES: Final = {name: _range(name) for name in NUMBERS}


def read_zones(lines: Iterable[str], *, southern: bool) -> Plots:
    """Read zones to plan from scratch.

    ``plant``, ``head``, ``soil`` and ``sun`` take the API's words; an empty root depth is the plant's usual
    one, an empty rate is flow by area.

    Raises
    ------
    Refused
        Naming the lines that can't be.
    """
    zones: list[Zone] = []
    wrong: list[str] = []
    seen: dict[int, int] = {}
    for line, row in rows_of(lines, what=WHAT, columns=COLUMNS, needed=NEEDED, others=False):
        try:
            zone = _zone(row, number=max(seen, default=0) + 1)
            if zone.number in seen:
                raise ValueError(f"number {zone.number} is that of line {seen[zone.number]}")
        except ValueError as error:
            wrong.append(f"line {line}: {error}")
            continue
        seen[zone.number] = line
        zones.append(zone)
    refuse(WHAT, wrong)
    if not 1 <= len(zones) <= MOST_ZONES:
        raise Refused(f"There are {len(zones)} zones; 1 to {MOST_ZONES} can be replayed.")
    survey = survey_arrays(zones, southern=[southern] * len(zones), boundary=[1.0] * len(zones))
    cycle, soak = cycles_and_soaks(survey.application)
    names = [str(zone) for zone in zones]
    return Plots(
        names=names,
        kl=survey.kl,
        taw_mm=survey.taw_mm,
        raw_mm=survey.raw_mm,
        area_m2=survey.area_m2,
        application=survey.application,
        cycle_min=np.broadcast_to(cycle, (len(zones),)),
        soak_min=np.broadcast_to(soak, (len(zones),)),
        assumed={name: assumed_of(zone) for name, zone in zip(names, zones, strict=True)},
    )


def _zone(row: dict[str, str], *, number: int) -> Zone:
    zone = Zone(number=_whole(row.get("number", ""), number))
    for name in WORDS:
        setattr(zone, name, row.get(name, ""))
    zone.name = zone.name or f"zone {zone.number}"
    for name, known in KNOWN.items():
        if (said := getattr(zone, name)) and said not in known:
            raise ValueError(f"{name} {said!r} is unknown, accepted are {', '.join(known)}")
    for name in NUMBERS:
        if (value := _number(row, name)) is not None:
            setattr(zone, name, value)
    if zone.root_depth_mm is None and zone.plant in PLANTS:
        zone.root_depth_mm = PLANTS[zone.plant].root_depth_mm.value
    if lacking := missing_of(zone):
        raise ValueError(f"{', '.join(lacking)} missing")
    return zone


def _whole(text: str, usual: int) -> int:
    if not text:
        return usual
    if not text.isdecimal() or not 1 <= int(text) <= MOST_NUMBER:
        raise ValueError(f"number {text!r} is no whole number from 1 to {MOST_NUMBER}")
    return int(text)


def _number(row: dict[str, str], name: str) -> float | None:
    """Return a number within what the survey takes; None where nothing is said."""
    if not (text := row.get(name, "")):
        return None
    try:
        value = float(text)
    except ValueError:
        raise ValueError(f"{name} {text!r} is no number") from None
    low, high = RANGES[name]
    if not low <= value <= high:
        raise ValueError(f"{name} is {value:g}, accepted {low:g} to {high:g}")
    return value
