"""The protocol's score of a replayed season: every window in every reading, what passes, the worst."""

from dataclasses import asdict
from typing import Any, Final

import numpy as np

from scheduling.numerics.replay import protocol
from scheduling.selectors.replay.as_json import zone_cycles
from scheduling.selectors.replay.living import Course, Season

STARTS: Final = {0.5: "from half full", 1.0: "from full", None: "from where the season stood"}
NOTE: Final = (
    "Our reading of the published test protocol, from memory, on a table from memory: not a certification. A "
    "window passes only if it does in every reading of the text with its start."
)


def protocol_score(season: Season, course: Course) -> dict[str, Any]:
    """Return the score of a season decided each morning, as plain values.

    The balance is the protocol's own: ET in full, from half or wholly full at the start of each window, what
    was really put on. Each zone takes the gross-to-net values of the first run that waters it.
    """
    ground = ground_of(season)
    rain = season.weather.rain_mm[: season.days, 0]
    if season.days < protocol.WINDOW_DAYS:
        return {"note": f"A window takes {protocol.WINDOW_DAYS} days.", "windows": 0}
    water = protocol.watered(zone_cycles(season, course.lived), ground)
    valid = protocol.counts(reference_et_mm=season.weather.et_mm[: season.days, 0], rain_mm=rain)
    readings: list[dict[str, Any]] = []
    passing = {name: np.ones(valid.size, dtype=bool) for name in STARTS.values()}
    for reading in protocol.READINGS:
        windows = protocol.scored(reading, ground, et_mm=course.lived.full_et_mm, rain_mm=rain, water=water)
        passing[STARTS[reading.start_share]] &= windows.passes
        readings.append(asdict(reading) | _told(season, windows, valid))
    return {
        "note": NOTE,
        "windows": int(valid.size),
        "valid": int(valid.sum()),
        "passing": {name: _share(passes, valid) for name, passes in passing.items()},
        "passing_of_all": {name: float(passes.mean()) for name, passes in passing.items()},
        "readings": readings,
    }


def _told(season: Season, windows: protocol.Windows, valid: Any) -> dict[str, Any]:
    every = valid if valid.any() else np.ones_like(valid)
    adequacy, excess = windows.adequacy[every], windows.excess[every]
    dry, wet = int(np.argmin(adequacy.min(axis=0))), int(np.argmax(excess.max(axis=0)))
    return {
        "passing": _share(windows.passes, valid),
        "worst_adequacy": float(adequacy.min()),
        "worst_adequacy_zone": season.zones[dry],
        "worst_excess": float(excess.max()),
        "worst_excess_zone": season.zones[wet],
        "worst_mean_excess": float(excess.mean(axis=1).max()),
    }


def _share(passing: Any, valid: Any) -> float | None:
    return float(passing[valid].mean()) if valid.any() else None


def ground_of(season: Season) -> protocol.Ground:
    """Return what the protocol asks of each zone."""
    landscape = season.landscape
    runs, a = landscape.runs, landscape.runs.application
    first = [int(np.flatnonzero(runs.zone == zone)[0]) for zone in range(landscape.zones)]
    wide = {name: np.broadcast_to(getattr(a, name), runs.zone.shape)[first] for name in a.__slots__}
    return protocol.Ground(
        storage_mm=landscape.ground.raw_mm,
        rate_mm_h=wide["rate_mm_h"],
        intake_mm_h=wide["intake_mm_h"],
        accumulation_mm=wide["accumulation_mm"],
        efficiency=wide["ground_share"] * wide["usable_share"],
    )
