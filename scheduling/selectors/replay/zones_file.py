"""Zones from a CSV file, one line each, by the names the API gives their fields."""

import csv
from collections.abc import Iterable
from typing import Final

import numpy as np

from common.errors import Refused
from fleet.models import Zone
from fleet.numerics.plants import PLANTS
from scheduling.season.survey import assumed_of, missing_of, survey_arrays
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
MOST_ZONES: Final = 2_000


def read_zones(lines: Iterable[str], *, southern: bool) -> Plots:
    """Read zones to plan from scratch.

    ``plant``, ``head``, ``soil`` and ``sun`` take the API's words; an empty root depth is the plant's usual
    one, an empty rate is flow by area.

    Raises
    ------
    Refused
        Naming the lines that can't be.
    """
    rows = csv.DictReader(lines)
    strange = [name for name in rows.fieldnames or () if name not in COLUMNS]
    if strange or not rows.fieldnames:
        raise Refused(f"Unknown column {', '.join(strange) or '(none)'}; zones take {', '.join(COLUMNS)}.")
    zones: list[Zone] = []
    wrong: list[str] = []
    for line, row in enumerate(rows, start=2):
        try:
            zones.append(_zone(row, number=len(zones) + 1))
        except ValueError as error:
            wrong.append(f"line {line}: {error}")
    if wrong:
        more = f" and {len(wrong) - 5} more" if len(wrong) > 5 else ""
        raise Refused(f"The zones can't be read: {'; '.join(wrong[:5])}{more}.")
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


def _zone(row: dict[str, str | None], *, number: int) -> Zone:
    texts = {name: (row.get(name) or "").strip() for name in COLUMNS}
    zone = Zone(number=int(_number(texts, "number") or number))
    for name in WORDS:
        setattr(zone, name, texts[name])
    zone.name = zone.name or f"zone {zone.number}"
    for name in NUMBERS:
        if (value := _number(texts, name)) is not None:
            setattr(zone, name, value)
    if zone.root_depth_mm is None and zone.plant in PLANTS:
        zone.root_depth_mm = PLANTS[zone.plant].root_depth_mm.value
    if lacking := missing_of(zone):
        raise ValueError(f"{', '.join(lacking)} missing or unknown")
    for name, low, high in (
        ("uniformity", 0.0, 1.0),
        ("wetted_share", 0.0, 1.0),
        ("slope_percent", -1e-9, 100.0),
    ):
        if not low < getattr(zone, name) <= high:
            raise ValueError(f"{name} is {getattr(zone, name):g}, accepted up to {high:g}")
    for name in ("area_m2", "root_depth_mm"):
        if not getattr(zone, name) > 0:
            raise ValueError(f"{name} is {getattr(zone, name):g}, accepted above 0")
    return zone


def _number(texts: dict[str, str], name: str) -> float | None:
    if not texts[name]:
        return None
    try:
        value = float(texts[name])
    except ValueError:
        raise ValueError(f"{name} {texts[name]!r} is no number") from None
    if not np.isfinite(value) or value < 0:
        raise ValueError(f"{name} is {value:g}, accepted 0 and more")
    return value
