"""Write down what a decision was made from, complete enough to compute it again."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from scheduling.season.field import RAIN_SHARE
from scheduling.season.survey import assumed_of
from scheduling.services.coming_days import Coming
from scheduling.services.groups import Group
from scheduling.services.percents import MARGIN, TOLERANCE, Search

Floats = NDArray[np.float64]


ASSUMED_NOTE = {
    "uniformity": "How evenly the heads water is not from cans: 10 points lower would want more water.",
    "soil": "The soil is not confirmed: a class lighter holds less and wants water more often.",
    "rate": "The precipitation rate is not measured: a slower head needs a higher percent.",
    "root depth": "The root depth is not confirmed: shallower roots need water more often.",
    "area": "The area is not measured: it bears on the litres, not on the percent.",
    "sun": "The exposure is not confirmed: shade needs less.",
}


def numbers(values: Any) -> list[float]:
    """Return plain floats."""
    return [float(v) for v in np.asarray(values, dtype=np.float64)]


def rows_of(group_place: int, coming: Coming) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the places of a group's units and runs; both are sorted by group."""
    units = slice(*np.searchsorted(coming.group_of_unit, [group_place, group_place + 1]))
    group_of_run = coming.group_of_unit[coming.unit_of_run]
    runs = slice(*np.searchsorted(group_of_run, [group_place, group_place + 1]))
    return np.arange(units.start, units.stop), np.arange(runs.start, runs.stop)


def common_inputs(
    coming: Coming,
    group: Group,
    *,
    units: NDArray[np.intp],
    runs: NDArray[np.intp],
    settled: NDArray[np.bool_],
    wet_mm: Floats,
    net_mm: Floats,
    gross_mm: Floats,
    minutes: Floats,
) -> dict[str, Any]:
    """Return the part of the inputs that percents and skips share."""
    field = coming.field
    column = field.column_of(group.site)
    return {
        "version": 1,
        "on": field.rows.on.isoformat(),
        "timezone": group.site.timezone,
        "current": group.current,
        "margin": MARGIN,
        "tolerance": TOLERANCE,
        "rain_share": RAIN_SHARE,
        "rain_credit": float(field.weather.rain_credit[column]),
        "uniformity_margin": group.policy.uniformity_margin,
        "days": _days(coming, column),
        "units": [
            _unit(
                coming,
                int(u),
                runs,
                settled=settled,
                wet_mm=wet_mm,
                net_mm=net_mm,
                gross_mm=gross_mm,
                minutes=minutes,
            )
            for u in units
        ],
        "weather": {
            "source": field.sky.source_of(column),
            "observed_through": _iso(field.weather.observed_through[column]),
            "fallback_days": int(field.weather.fallback_days[column]),
            "et_method": field.sky.method_of(column),
        },
        "assumed": _assumed(coming, group, units, settled),
    }


def percent_inputs(result: Search) -> dict[str, Any]:
    """Return what a percent's inputs have besides."""
    return {
        "percents": [int(p) for p in result.percents],
        "stress": numbers(result.stress),
        "allowed": [bool(a) for a in result.allowed],
        "least": result.least,
        "first_day": result.first_day,
        "last_day": result.last_day,
        "proposed": result.chosen,
        "percent_without_deciding": result.without_deciding,
    }


def _days(coming: Coming, column: int) -> list[dict[str, Any]]:
    field = coming.field
    found = []
    for row in range(coming.days):
        at = field.today + row
        found.append(
            {
                "date": field.days[at].isoformat(),
                "et0_mm": float(field.weather.reference_et_mm[at, column]),
                "rain_mm": float(np.nan_to_num(field.weather.rain_mm[at, column])),
                "rain_effective_mm": float(field.rain_effective[at, column]),
                "kind": field.sky.kind_word(at, column),
            }
        )
    return found


def _unit(
    coming: Coming,
    unit: int,
    runs: NDArray[np.intp],
    *,
    settled: NDArray[np.bool_],
    wet_mm: Floats,
    net_mm: Floats,
    gross_mm: Floats,
    minutes: Floats,
) -> dict[str, Any]:
    field = coming.field
    z = int(coming.zone_of_unit[unit])
    zone = field.zones[z]
    a = field.survey.application
    own = [k for k, run in enumerate(runs) if coming.unit_of_run[run] == unit]
    return {
        "zone": zone.pk,
        "number": zone.number,
        "name": zone.name,
        "plant": zone.plant,
        "soil": zone.soil,
        "head": zone.head,
        "sun": zone.sun,
        "area_m2": float(field.survey.area_m2[z]),
        "kl": float(field.survey.kl[field.months[field.today] - 1, z]),
        "trim": float(field.trim_today()[z]),
        "start_mm": float(coming.start_mm[unit]),
        "start_wet_mm": float(wet_mm[z]),
        "start_settled": bool(settled[z]),
        "taw_mm": float(coming.taw_mm[unit]),
        "raw_mm": float(coming.raw_mm[unit]),
        "et_mm": numbers(coming.et_mm[:, unit]),
        "fixed_mm": numbers(coming.fixed_mm[:, unit]),
        "uniformity": float(zone.uniformity or 0.0),
        "ground_share": float(np.asarray(a.ground_share)[z]),
        "usable": float(np.asarray(a.usable_share)[z]),
        "rate_mm_h": float(np.asarray(a.rate_mm_h)[z]),
        "intake_mm_h": float(np.asarray(a.intake_mm_h)[z]),
        "surface_mm": float(np.asarray(a.accumulation_mm)[z]),
        "assumed": assumed_of(zone),
        "runs": [
            {
                "program": field.programs[field.program_of_run[coming.runs[runs[k]]]].letter,
                "minutes": float(field.minutes[coming.runs[runs[k]]]),
                "minute_step": float(field.minute_step[coming.runs[runs[k]]]),
                "cycle": _finite(field.cycle_min[coming.runs[runs[k]]]),
                "soak": float(field.soak_min[coming.runs[runs[k]]]),
                "starts": [int(s) for s in coming.starts[:, runs[k]]],
                "net_mm": numbers(net_mm[:, k]),
                "gross_mm": numbers(gross_mm[:, k]),
                "minutes_at": numbers(minutes[:, k]),
                "kept_net_mm": float(coming.kept_net_mm[runs[k]]),
                "kept_gross_mm": float(coming.kept_gross_mm[runs[k]]),
            }
            for k in own
        ],
    }


def _assumed(coming: Coming, group: Group, units: NDArray[np.intp], settled: NDArray[np.bool_]) -> list[str]:
    field = coming.field
    notes: list[str] = []
    words = {word for u in units for word in assumed_of(field.zones[int(coming.zone_of_unit[u])])}
    notes += [note for word, note in ASSUMED_NOTE.items() if word in words]
    if not all(settled[int(coming.zone_of_unit[u])] for u in units):
        notes.append("How wet the soil was at the start still matters; the drier of two starts was taken.")
    return notes


def _finite(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def _iso(value: Any) -> str | None:
    return value.isoformat() if value is not None else None
