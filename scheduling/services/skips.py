"""Nights that can be left out for rain, and must be for frost or wind, where the word arrives in time."""

from datetime import date, datetime, time, timedelta
from functools import partial
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from scheduling.models import Change
from scheduling.numerics.percent_search import MARGIN
from scheduling.numerics.skip_check import SkipCheck, check_skip
from scheduling.selectors.balance import Balance
from scheduling.selectors.night_queue import minutes_into_night
from scheduling.services.coming_days import HORIZON_DAYS, Coming
from scheduling.services.groups import Group
from scheduling.services.inputs import Written, common_inputs, traces
from scheduling.services.outlook import Outlook, keep_trace, risk_of, skip_trace
from scheduling.services.proposal import Proposal
from scheduling.services.wording import (
    freeze_skip_reason,
    rain_skip_reason,
    risk_words,
    wind_skip_reason,
)

Ints = NDArray[np.intp]

LOOK_AHEAD_DAYS = 8
RAIN_COUNTS_FROM_MM = 2.0  # less than this is no reason to send anybody to a controller: our choice


def skip_proposals(coming: Coming, balance: Balance, *, now: datetime) -> dict[int, Proposal]:
    """Return the skips of the coming night by the place of their group."""
    if not coming.groups:
        return {}
    check = _check(coming)
    outlook = Outlook(keep=keep_trace(coming), change=skip_trace(coming))
    found = {}
    for n, group in enumerate(coming.groups):
        if not check.watered[n] or not arrives(coming, group, now=now):
            continue
        kind = _kind(coming, group, n, check)
        if kind is not None:
            found[n] = _proposal(coming, n, balance, kind=kind, check=check, outlook=outlook)
    return found


def _check(coming: Coming) -> SkipCheck:
    days = slice(0, min(LOOK_AHEAD_DAYS, coming.days))
    return check_skip(
        net_mm=coming.kept_net_by_day()[days],
        fixed_mm=coming.fixed_mm[days],
        group_of_unit=coming.group_of_unit,
        groups=len(coming.groups),
        start_depletion_mm=coming.start_mm,
        et_mm=coming.et_mm[days],
        rain_mm=coming.rain_mm[days],
        taw_mm=coming.taw_mm,
        raw_mm=coming.raw_mm,
        margin=MARGIN,
    )


def arrives(coming: Coming, group: Group, *, now: datetime) -> bool:
    """Tell whether a skip of the coming night can still reach the controller before its first start."""
    if group.channel.needs_visit:
        return False
    return now + timedelta(hours=group.channel.lead_hours) <= first_start(coming, group)


def first_start(coming: Coming, group: Group) -> datetime:
    """Return when the group's first start of the coming night is."""
    night = coming.field.rows.on
    minutes = [
        minutes_into_night(at)
        for column in group.columns
        if coming.field.starts[coming.field.today + 1, column]
        for at in coming.field.programs[column].start_times()
    ]
    noon = datetime.combine(night, time(12), tzinfo=ZoneInfo(group.site.timezone))
    return noon + timedelta(minutes=min(minutes, default=0))


def _kind(coming: Coming, group: Group, place: int, check: SkipCheck) -> str | None:
    field = coming.field
    column = field.column_of(group.site)
    tomorrow = field.today + 1
    low = field.weather.t_min_c[tomorrow, column]
    wind = _night_wind(coming, column)
    if low < group.policy.freeze_skip_below_c:
        return Change.Kind.FREEZE_SKIP
    if not check.safe[place]:
        return None
    units, _ = coming.units_and_runs(place)
    if _rain_counted(coming, units, check) >= RAIN_COUNTS_FROM_MM:
        return Change.Kind.RAIN_SKIP
    if wind > group.policy.wind_skip_above_m_s and field.survey.overhead[coming.zone_of_unit[units]].any():
        return Change.Kind.WIND_SKIP
    return None


def _rain_counted(coming: Coming, units: Ints, check: SkipCheck) -> float:
    """Return the rain credited from yesterday to the next watering. [mm]"""
    field = coming.field
    cell = field.cell_of_zone[coming.zone_of_unit[units[0]]]
    yesterday = field.rain_effective[field.today - 1, cell] if field.today else 0.0
    return float(yesterday + coming.rain_mm[0, units[0]] + check.rain_mm[units].max())


def _proposal(
    coming: Coming, place: int, balance: Balance, *, kind: str, check: SkipCheck, outlook: Outlook
) -> Proposal:
    field, group = coming.field, coming.groups[place]
    units, runs = coming.units_and_runs(place)
    unit = int(units[np.argmax(check.peak[units])])
    zone = field.zones[coming.zone_of_unit[unit]]
    gross = coming.kept_gross_mm[runs]
    area = field.survey.area_m2[field.zone_of_run[coming.runs[runs]]]
    keep, change = risk_of(coming, outlook.keep, units), risk_of(coming, outlook.change, units)
    facts = _facts(coming, group, units, unit, kind=kind, check=check)
    return Proposal(
        group=group,
        kind=kind,
        proposed=None,
        effective_from=field.rows.on,
        effective_to=field.rows.on,
        reason=_reason(coming, group, facts, zone_number=zone.number),
        litres=-float(np.sum(area * coming.starts[1][runs] * gross)),
        risk_keep=keep,
        risk_change=change,
        keep_words=risk_words(keep, field.zones[coming.zone_of_unit[keep.unit]].number),
        change_words=risk_words(change, field.zones[coming.zone_of_unit[change.unit]].number),
        deciding_zone=zone.pk,
        write_down=partial(_inputs, coming, place, balance, outlook=outlook, facts=facts, deciding=unit),
        hints=_hints(group, coming),
    )


def _inputs(
    coming: Coming, place: int, balance: Balance, *, outlook: Outlook, facts: dict[str, Any], deciding: int
) -> dict[str, Any]:
    group, field = coming.groups[place], coming.field
    units, runs = coming.units_and_runs(place)
    written = Written(
        units=units,
        runs=runs,
        net_mm=coming.kept_net_mm[runs][np.newaxis],
        gross_mm=coming.kept_gross_mm[runs][np.newaxis],
        minutes=field.minutes[coming.runs[runs]][np.newaxis],
        days=min(HORIZON_DAYS, coming.days),
    )
    by_zone = traces(coming, written, keep=outlook.keep, change=outlook.change)
    zone = field.zones[coming.zone_of_unit[deciding]].pk
    return common_inputs(coming, group, balance, written) | {
        "deciding": zone,
        "percents": [group.current],
        "skip": facts,
        "trace": by_zone[str(zone)],
        "traces": by_zone,
    }


def _facts(
    coming: Coming, group: Group, units: Ints, unit: int, *, kind: str, check: SkipCheck
) -> dict[str, Any]:
    field, column = coming.field, coming.field.column_of(group.site)
    end = field.today + int(check.window_end[unit])
    window = slice(max(field.today - 1, 0), end + 1)
    enter_by = first_start(coming, group) - timedelta(hours=group.channel.lead_hours)
    return {
        "night": field.rows.on.isoformat(),
        "next_water_day": int(check.window_end[unit]) + 1,
        "next_water": field.days[min(end + 1, len(field.days) - 1)].isoformat(),
        "rain_window_mm": float(np.nan_to_num(field.weather.rain_mm[window, column]).sum()),
        "rain_counted_mm": _rain_counted(coming, units, check),
        "reason_kind": kind.removesuffix("_skip"),
        "t_min_c": _known(field.weather.t_min_c[field.today + 1, column]),
        "wind_2m_m_s": _known(_night_wind(coming, column)),
        "enter_by": enter_by.isoformat(),
    }


def _reason(coming: Coming, group: Group, facts: dict[str, Any], *, zone_number: int) -> str:
    units, night = group.site.client.company.units, coming.field.rows.on
    if facts["reason_kind"] == "freeze":
        return freeze_skip_reason(low_c=facts["t_min_c"], morning=night + timedelta(days=1), units=units)
    if facts["reason_kind"] == "wind":
        return wind_skip_reason(wind_m_s=facts["wind_2m_m_s"], night=night, units=units)
    return rain_skip_reason(
        rain_mm=facts["rain_window_mm"],
        credited_mm=facts["rain_counted_mm"],
        next_water=date.fromisoformat(facts["next_water"]),
        zone_number=zone_number,
        units=units,
    )


def _night_wind(coming: Coming, column: int) -> float:
    """Return the mean wind of the two dates the night lies between, NaN if neither is known. [m/s]"""
    winds = coming.field.weather.wind_2m_m_s[coming.field.today : coming.field.today + 2, column]
    known = winds[np.isfinite(winds)]
    return float(known.mean()) if known.size else float("nan")


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def _hints(group: Group, coming: Coming) -> list[str]:
    column = coming.field.column_of(group.site)
    return ["weather is late"] if coming.field.weather.fallback_days[column] else []
