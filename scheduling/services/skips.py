"""Nights that can be left out for rain, and must be for frost or wind, where the word arrives in time."""

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from scheduling.models import Change
from scheduling.numerics.skip_check import SkipCheck, check_skip
from scheduling.services.coming_days import Coming
from scheduling.services.groups import Group
from scheduling.services.inputs import common_inputs, numbers, rows_of
from scheduling.services.nights_fit import minutes_into_night
from scheduling.services.outlook import keep_trace, risk_of, skip_trace
from scheduling.services.percents import MARGIN
from scheduling.services.proposal import Proposal
from scheduling.services.wording import (
    freeze_skip_reason,
    rain_skip_reason,
    risk_words,
    wind_skip_reason,
)

Floats = NDArray[np.float64]

LOOK_AHEAD_DAYS = 8
RAIN_COUNTS_FROM_MM = 2.0  # less than this is no reason to send anybody to a controller: our choice


def skip_proposals(
    coming: Coming, *, settled: NDArray[np.bool_], wet_mm: Floats, now: datetime
) -> dict[int, Proposal]:
    """Return the skips of the coming night by the place of their group."""
    if not coming.groups:
        return {}
    days = slice(0, min(LOOK_AHEAD_DAYS, coming.days))
    check = check_skip(
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
    kept, left_out = keep_trace(coming), skip_trace(coming)
    found = {}
    for n, group in enumerate(coming.groups):
        if not check.watered[n] or not arrives(coming, group, now=now):
            continue
        kind = _kind(coming, group, n, check)
        if kind is not None:
            found[n] = _proposal(
                coming,
                group,
                n,
                kind=kind,
                check=check,
                kept=kept,
                left_out=left_out,
                settled=settled,
                wet_mm=wet_mm,
            )
    return found


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
    wind = np.nanmean(
        [field.weather.wind_2m_m_s[field.today, column], field.weather.wind_2m_m_s[tomorrow, column]]
    )
    if low < group.policy.freeze_skip_below_c:
        return Change.Kind.FREEZE_SKIP
    if not check.safe[place]:
        return None
    units, _ = rows_of(place, coming)
    if _rain_counted(coming, units, check) >= RAIN_COUNTS_FROM_MM:
        return Change.Kind.RAIN_SKIP
    if wind > group.policy.wind_skip_above_m_s and field.survey.overhead[coming.zone_of_unit[units]].any():
        return Change.Kind.WIND_SKIP
    return None


def _rain_counted(coming: Coming, units: NDArray[np.intp], check: SkipCheck) -> float:
    """Return the rain credited from yesterday to the next watering. [mm]"""
    field = coming.field
    cell = field.cell_of_zone[coming.zone_of_unit[units[0]]]
    yesterday = field.rain_effective[field.today - 1, cell] if field.today else 0.0
    return float(yesterday + coming.rain_mm[0, units[0]] + check.rain_mm[units].max())


def _proposal(
    coming: Coming,
    group: Group,
    place: int,
    *,
    kind: str,
    check: SkipCheck,
    kept: Floats,
    left_out: Floats,
    settled: NDArray[np.bool_],
    wet_mm: Floats,
) -> Proposal:
    field, units_system = coming.field, group.site.client.company.units
    units, runs = rows_of(place, coming)
    unit = int(units[np.argmax(check.peak[units])])
    column = field.column_of(group.site)
    night = field.rows.on
    next_water = field.days[min(field.today + int(check.window_end[unit]) + 1, len(field.days) - 1)]
    window = slice(max(field.today - 1, 0), field.today + int(check.window_end[unit]) + 1)
    rain = float(np.nan_to_num(field.weather.rain_mm[window, column]).sum())
    low = float(field.weather.t_min_c[field.today + 1, column])
    wind = float(np.nanmean(field.weather.wind_2m_m_s[field.today : field.today + 2, column]))
    number = field.zones[coming.zone_of_unit[unit]].number
    if kind == Change.Kind.RAIN_SKIP:
        reason = rain_skip_reason(
            rain_mm=rain,
            credited_mm=_rain_counted(coming, units, check),
            night=night,
            next_water=next_water,
            zone_number=number,
            units=units_system,
        )
    elif kind == Change.Kind.FREEZE_SKIP:
        reason = freeze_skip_reason(low_c=low, morning=night + timedelta(days=1), units=units_system)
    else:
        reason = wind_skip_reason(wind_m_s=wind, night=night, units=units_system)
    gross = coming.kept_gross_mm[runs]
    area = field.survey.area_m2[field.zone_of_run[coming.runs[runs]]]
    keep, change = risk_of(coming, kept, units), risk_of(coming, left_out, units)
    inputs = common_inputs(
        coming,
        group,
        units=units,
        runs=runs,
        settled=settled,
        wet_mm=wet_mm,
        net_mm=coming.kept_net_mm[runs][np.newaxis],
        gross_mm=gross[np.newaxis],
        minutes=field.minutes[coming.runs[runs]][np.newaxis],
    )
    inputs |= {
        "deciding": field.zones[coming.zone_of_unit[unit]].pk,
        "percents": [group.current],
        "skip": {
            "night": night.isoformat(),
            "next_water_day": int(check.window_end[unit]) + 1,
            "rain_window_mm": rain,
            "rain_counted_mm": _rain_counted(coming, units, check),
            "reason_kind": kind.removesuffix("_skip"),
            "t_min_c": low,
            "wind_2m_m_s": wind,
            "enter_by": (first_start(coming, group) - timedelta(hours=group.channel.lead_hours)).isoformat(),
        },
        "trace": {"keep": numbers(kept[:, unit]), "change": numbers(left_out[:, unit])},
        "traces": {
            str(field.zones[coming.zone_of_unit[u]].pk): {
                "keep": numbers(kept[:, u]),
                "change": numbers(left_out[:, u]),
            }
            for u in units
        },
    }
    return Proposal(
        group=group,
        kind=kind,
        proposed=None,
        effective_from=night,
        effective_to=night,
        reason=reason,
        litres=-float(np.sum(area * coming.starts[1][runs] * gross)),
        risk_keep=keep,
        risk_change=change,
        keep_words=risk_words(keep, field.zones[coming.zone_of_unit[keep.unit]].number),
        change_words=risk_words(change, field.zones[coming.zone_of_unit[change.unit]].number),
        deciding_zone=field.zones[coming.zone_of_unit[unit]].pk,
        inputs=inputs,
        hints=_hints(group, coming),
    )


def _hints(group: Group, coming: Coming) -> list[str]:
    column = coming.field.column_of(group.site)
    return ["weather is late"] if coming.field.weather.fallback_days[column] else []
