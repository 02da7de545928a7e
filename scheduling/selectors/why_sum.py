"""The account behind a percent, in one zone: what plants use, what soil and rain give, what is left."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from scheduling.selectors.why import Seen
from scheduling.selectors.why_zone import ZoneSeen


@dataclass(frozen=True)
class Account:
    """What one zone needs over the horizon, as a plain sum. Depths in mm.

    The search itself goes day by day; this sum leads close to it and shows where the percent comes from.
    """

    days: int
    reference_mm: float
    use_mm: float
    soil_mm: float
    held_to_mm: float
    rain_mm: float
    rain_seen_mm: float
    fixed_mm: float
    to_water_mm: float
    waterings: int
    at_percent: int
    gives_mm: float
    minutes: float
    percent: float | None


@dataclass(frozen=True)
class WhatIf:
    """An assumption and the percent that would be right if it were off by a tenth for the worse."""

    field: str
    percent: int | None


def account(seen: Seen, zone: ZoneSeen) -> Account:
    """Return the sum for one zone."""
    days = range(min(len(zone.et_mm), len(seen.days)))
    use = sum(zone.et_mm[d] for d in days)
    held_to = seen.margin * zone.raw_mm
    soil = held_to - zone.start_mm
    rain = sum(seen.days[d].rain_effective_mm for d in days)
    fixed = sum(zone.fixed_mm[d] for d in days if d < len(zone.fixed_mm))
    to_water = max(0.0, use - soil - rain - fixed)
    at_percent = 100 if seen.index_of(100) is not None else int(seen.stored.get("current") or 100)
    index = seen.index_of(at_percent)
    gives = sum(run.lands(d) * run.net_at(index) for run in zone.runs for d in days)
    return Account(
        days=len(days),
        reference_mm=sum(seen.days[d].et0_mm for d in days),
        use_mm=use,
        soil_mm=soil,
        held_to_mm=held_to,
        rain_mm=rain,
        rain_seen_mm=sum(seen.days[d].rain_mm for d in days),
        fixed_mm=fixed,
        to_water_mm=to_water,
        waterings=sum(run.lands(d) for run in zone.runs for d in days),
        at_percent=at_percent,
        gives_mm=gives,
        minutes=sum(run.minutes for run in zone.runs),
        percent=to_water / gives * at_percent if gives else None,
    )


def what_if(seen: Seen, zone: ZoneSeen, *, percent: int | None, step: int) -> list[WhatIf]:
    """Return for each assumption about a zone what its being off by a tenth for the worse would mean."""
    worse = {"uniformity": _less_even(seen, zone), "rate": 0.9, "precipitation_rate_mm_h": 0.9}
    return [
        WhatIf(field, _scaled(percent, worse.get(field), step=step)) for field in dict.fromkeys(zone.assumed)
    ]


def _less_even(seen: Seen, zone: ZoneSeen) -> float | None:
    """Return how much less of the water is of use if uniformity were 0.1 lower, as a factor.

    Scheduling multiplier by distribution uniformity: 1 / (0.4 + 0.6 DU), Irrigation Association.
    """
    if zone.uniformity is None:
        return None
    margin = float(seen.stored.get("uniformity_margin", 1.0))
    worse = max(zone.uniformity - 0.1, 0.1)
    now, then = (1 / (1 + margin * (1 / (0.4 + 0.6 * du) - 1)) for du in (zone.uniformity, worse))
    return then / now


def _scaled(percent: int | None, factor: float | None, *, step: int) -> int | None:
    if percent is None or not factor:
        return None
    return ceil(round(percent / factor / step, 6)) * step
