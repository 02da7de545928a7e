"""A replay as JSON: days and season of every zone, and every decision."""

from typing import Any, Final

import numpy as np

from scheduling.numerics.replay.days import Lived
from scheduling.numerics.replay.landscape import Landscape
from scheduling.selectors.replay.living import Course, Replayed, Season
from scheduling.selectors.replay.reasons import decisions

Json = dict[str, Any]

DEFINITIONS: Final = {
    "etl_mm": "landscape ET of a planting never short of water, reference ET times its coefficient",
    "et_mm": "ET it had, etl_mm x (1 - stress)",
    "stress": "share of etl_mm it went without",
    "rain_mm": "rain that fell",
    "rain_credited_mm": "0.8 of it, before what drains",
    "id": "of the zone's row at a site, its name elsewhere; a decision's program likewise",
    "gross_mm": "water given, by precipitation rate and minutes",
    "net_mm": "what of it reached the root zone, before what drains: efficiency x gross less usable_share x "
    "runoff; a cycle shorter than 3 minutes counts as water given that reached nothing",
    "runoff_mm": "water given that ran off: a cycle longer than the ground takes, a soak too short",
    "drainage_mm": "irrigation and rain that drained below the roots",
    "drainage_irrigation_mm": "the part of it that was irrigation, which comes before rain",
    "depletion_mm": "at the end of the day: the day before's - net - rain_credited + drainage + et",
    "adequacy": "1 - sum(stress x etl) / sum(etl)",
    "excess": "(sum(drainage_irrigation) + usable_share x sum(runoff)) / sum(etl)",
    "least_gross_mm": "least water of a planner who knew the weather, never short, on the same nights, from "
    "the same soil, ending no drier",
    "ratio": "gross_mm / least_gross_mm; null where the least is nothing",
}


def replay_as_json(replayed: Replayed, *, notes: list[str], assumed: dict[str, list[str]]) -> Json:
    """Return a replay as plain values; depths in mm, ratios as 0.85, dates as ISO."""
    season, course = replayed.season, replayed.decided
    return {
        "from": season.day(0).isoformat(),
        "to": season.day(season.days - 1).isoformat(),
        "zones": [_zone(season, course, zone, assumed) for zone in range(season.landscape.zones)],
        "decisions": decisions(season, course.lived),
        "landscape": _whole(season, course),
        "beside": {
            "at_100": _beside(season, replayed.at_100),
            "monthly": _beside(season, replayed.monthly),
        },
        "notes": notes,
        "definitions": DEFINITIONS,
    }


def _zone(season: Season, course: Course, zone: int, assumed: dict[str, list[str]]) -> Json:
    ground, score = season.landscape.ground, course.score
    name = season.zones[zone]
    return {
        "id": season.zone_id(zone),
        "name": name,
        "start_depletion_mm": float(season.start_depletion_mm[zone]),
        "taw_mm": float(ground.taw_mm[zone]),
        "raw_mm": float(ground.raw_mm[zone]),
        "area_m2": float(ground.area_m2[zone]),
        "efficiency": float(season.landscape.efficiency[zone]),
        "usable_share": float(season.landscape.usable_share[zone]),
        "assumed": assumed.get(name, []),
        "days": _days(season, course.lived, zone),
        "season": {
            "adequacy": float(score.adequacy[zone]),
            "excess": float(score.excess[zone]),
            "gross_mm": float(score.gross_mm[zone]),
            "least_gross_mm": float(score.least_gross_mm[zone]),
            "ratio": _known(score.ratio[zone]),
        },
    }


def _days(season: Season, lived: Lived, zone: int) -> list[Json]:
    cell = season.landscape.ground.cell[zone]
    drained = lived.drained_irrigation_mm[:, zone]
    columns = {
        "et0_mm": season.weather.et_mm[: season.days, cell],
        "etl_mm": lived.full_et_mm[:, zone],
        "et_mm": lived.et_mm[:, zone],
        "rain_mm": season.weather.rain_mm[: season.days, cell],
        "rain_credited_mm": lived.rain_mm[:, zone],
        "gross_mm": lived.gross_mm[:, zone],
        "net_mm": lived.net_mm[:, zone],
        "depletion_mm": lived.depletion_mm[:, zone],
        "drainage_mm": drained + lived.drained_rain_mm[:, zone],
        "drainage_irrigation_mm": drained,
        "runoff_mm": lived.runoff_mm[:, zone],
        "stress": lived.lost_share[:, zone],
    }
    plain = {name: values.tolist() for name, values in columns.items()}
    own = np.flatnonzero(season.landscape.runs.zone == zone)
    return [
        {"date": season.day(day).isoformat()}
        | {name: values[day] for name, values in plain.items()}
        | {"cycles": _cycles(season.landscape, season.starts[day], lived.row_of_program[day], own)}
        for day in range(season.days)
    ]


def zone_cycles(season: Season, lived: Lived) -> list[list[list[tuple[float, float]]]]:
    """Return minutes and soak of the cycles that landed, by day and zone."""
    own = [np.flatnonzero(season.landscape.runs.zone == zone) for zone in range(season.landscape.zones)]
    return [
        [
            [
                (one["minutes"], one["soak_minutes"])
                for one in _cycles(season.landscape, season.starts[day], lived.row_of_program[day], runs)
            ]
            for runs in own
        ]
        for day in range(season.days)
    ]


def _cycles(landscape: Landscape, starts: Any, rows: Any, own: Any) -> list[Json]:
    """Return the cycles that landed on a zone on one day, one start after the other."""
    found: list[Json] = []
    runs = landscape.runs
    for run in own:
        program = int(runs.program[run])
        if rows[program] < 0:
            continue
        cycles = cycles_of(
            float(landscape.depths.minutes[rows[program], run]),
            longest=float(runs.cycle_min[run]),
            soak=float(runs.soak_min[run]),
        )
        found += cycles * int(starts[program])
    return found


def cycles_of(minutes: float, *, longest: float, soak: float) -> list[Json]:
    """Split the minutes of one start: cycles of at most the longest, the remainder last, a soak between."""
    found: list[Json] = []
    while minutes > 1e-9:
        cycle = min(minutes, longest)
        minutes -= cycle
        found.append({"minutes": cycle, "soak_minutes": soak if minutes > 1e-9 else 0.0})
    return found


def _whole(season: Season, course: Course) -> Json:
    """Return the landscape's sums, by depth and by volume."""
    area, score = season.landscape.ground.area_m2, course.score
    least_mm, least_l = score.least_gross_mm.sum(), (area * score.least_gross_mm).sum()
    return {
        "worst_adequacy": course.worst,
        "worst_excess": float(score.excess.max(initial=0.0)),
        "gross_mm": float(score.gross_mm.sum()),
        "least_gross_mm": float(least_mm),
        "ratio": _known(score.gross_mm.sum() / least_mm if least_mm > 0 else np.nan),
        "gross_l": float((area * score.gross_mm).sum()),
        "least_gross_l": float(least_l),
        "ratio_by_volume": _known((area * score.gross_mm).sum() / least_l if least_l > 0 else np.nan),
    }


def _beside(season: Season, course: Course) -> Json:
    score = course.score
    return _whole(season, course) | {
        "zones": [
            {
                "id": season.zone_id(zone),
                "name": name,
                "adequacy": float(score.adequacy[zone]),
                "excess": float(score.excess[zone]),
                "gross_mm": float(score.gross_mm[zone]),
            }
            for zone, name in enumerate(season.zones)
        ]
    }


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
