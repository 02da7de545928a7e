"""Write down what a decision was made from, complete enough to compute it again."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scheduling.numerics.percent_search import MARGIN, TOLERANCE
from scheduling.season.field import RAIN_SHARE
from scheduling.season.survey import assumed_of
from scheduling.selectors.balance import Balance
from scheduling.services.coming_days import Coming
from scheduling.services.groups import Group
from scheduling.services.percents import Search

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

RAIN_TOLD_DAYS = 14

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


@dataclass(frozen=True)
class Written:
    """What is written down about one group: its units and runs, and depths of its runs at each percent."""

    units: Ints
    runs: Ints
    net_mm: Floats  # (P, runs of the group)
    gross_mm: Floats
    minutes: Floats
    days: int


def common_inputs(coming: Coming, group: Group, balance: Balance, written: Written) -> dict[str, Any]:
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
        "bearable": group.bearable,
        "rain_share": RAIN_SHARE,
        "rain_credit": float(field.weather.rain_credit[column]),
        "uniformity_margin": group.policy.uniformity_margin,
        "days": coming.weather_days(column, count=written.days),
        "units": [_unit(coming, int(unit), balance, written) for unit in written.units],
        "weather": {
            "source": field.sky.source_of(column),
            "observed_through": _iso(field.weather.observed_through[column]),
            "fallback_days": int(field.weather.fallback_days[column]),
            "et_method": field.sky.method_of(column),
            "rain_on_site": _rain_on_site(coming, group),
            "site_correction": _correction(coming, group),
        },
        "assumed": _assumed(coming, written.units, balance),
    }


def traces(coming: Coming, written: Written, *, keep: Floats, change: Floats) -> dict[str, Any]:
    """Return the depletion of every zone of a group under keeping and changing, by zone."""
    return {
        str(coming.field.zones[coming.zone_of_unit[u]].pk): {
            "keep": numbers(keep[: written.days, u]),
            "change": numbers(change[: written.days, u]),
        }
        for u in written.units
    }


def percent_inputs(result: Search) -> dict[str, Any]:
    """Return what a percent's inputs have besides."""
    return {
        "percents": [int(p) for p in result.percents],
        "stress": numbers(result.stress),
        "allowed": [bool(a) for a in result.allowed],
        "fits": [bool(f) for f in result.fits],
        "least": result.least,
        "first_day": result.first_day,
        "last_day": result.last_day,
        "proposed": result.chosen,
        "percent_without_deciding": result.without_deciding,
    }


def _unit(coming: Coming, unit: int, balance: Balance, written: Written) -> dict[str, Any]:
    field = coming.field
    z = int(coming.zone_of_unit[unit])
    zone = field.zones[z]
    rates = field.survey.application
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
        "trim": field.own_trim(z),
        "start_mm": float(coming.start_mm[unit]),
        "start_wet_mm": float(balance.wet_mm[z]),
        "start_settled": bool(balance.settled[z]),
        "taw_mm": float(coming.taw_mm[unit]),
        "raw_mm": float(coming.raw_mm[unit]),
        "et_mm": numbers(coming.et_mm[: written.days, unit]),
        "fixed_mm": numbers(coming.fixed_mm[: written.days, unit]),
        "uniformity": float(zone.uniformity or 0.0),
        "ground_share": float(np.asarray(rates.ground_share)[z]),
        "usable": float(np.asarray(rates.usable_share)[z]),
        "rate_mm_h": float(np.asarray(rates.rate_mm_h)[z]),
        "intake_mm_h": float(np.asarray(rates.intake_mm_h)[z]),
        "surface_mm": float(np.asarray(rates.accumulation_mm)[z]),
        "assumed": assumed_of(zone),
        "runs": [
            _run(coming, k, int(run), written)
            for k, run in enumerate(written.runs)
            if coming.unit_of_run[run] == unit
        ],
    }


def _run(coming: Coming, k: int, run: int, written: Written) -> dict[str, Any]:
    field, place = coming.field, int(coming.runs[run])
    cycle = float(field.cycle_min[place])
    return {
        "program": field.programs[field.program_of_run[place]].letter,
        "minutes": float(field.minutes[place]),
        "minute_step": float(field.minute_step[place]),
        "cycle": cycle if np.isfinite(cycle) else None,
        "soak": float(field.soak_min[place]),
        "starts": [int(s) for s in coming.starts[: written.days, run]],
        "net_mm": numbers(written.net_mm[:, k]),
        "gross_mm": numbers(written.gross_mm[:, k]),
        "minutes_at": numbers(written.minutes[:, k]),
        "kept_net_mm": float(coming.kept_net_mm[run]),
        "kept_gross_mm": float(coming.kept_gross_mm[run]),
    }


def _assumed(coming: Coming, units: Ints, balance: Balance) -> list[str]:
    zones = [int(coming.zone_of_unit[unit]) for unit in units]
    words = {word for z in zones for word in assumed_of(coming.field.zones[z])}
    notes = [note for word, note in ASSUMED_NOTE.items() if word in words]
    if not all(balance.settled[z] for z in zones):
        notes.append("How wet the soil was at the start still matters; the drier of two starts was taken.")
    return notes


def _rain_on_site(coming: Coming, group: Group) -> list[dict[str, Any]]:
    """Return the rain of the last days that was seen on the site and counted instead of the source's."""
    since = coming.field.rows.on - timedelta(days=RAIN_TOLD_DAYS)
    return [
        {"date": r.day.isoformat(), "rain_mm": r.rain_mm, "source_mm": r.source_mm, "how": r.how}
        for r in coming.field.sky.rain_seen.get(group.site.pk, [])
        if r.day >= since
    ]


def _correction(coming: Coming, group: Group) -> dict[str, Any] | None:
    """Return by what reference ET is multiplied at the site and why; ``days`` hold it as it was told."""
    one = coming.field.corrections_today.get(group.site.pk)
    if one is None:
        return None
    return {"factor": one.factor, "reason": one.reason, "effective_from": one.effective_from.isoformat()}


def _iso(value: Any) -> str | None:
    return value.isoformat() if value is not None else None
