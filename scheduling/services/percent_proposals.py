"""Percents worth putting before the contractor."""

from datetime import timedelta
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fleet.models import Site
from fleet.numerics.plants import PLANTS
from scheduling.models import Change
from scheduling.numerics.percent_search import MARGIN, SLIGHT
from scheduling.selectors.balance import Balance
from scheduling.services.coming_days import Coming
from scheduling.services.groups import Group
from scheduling.services.inputs import Written, common_inputs, percent_inputs, traces
from scheduling.services.outlook import (
    DRY,
    UNHARMED,
    WEEK,
    Outlook,
    Risk,
    change_trace,
    keep_trace,
    litres,
    risk_of,
)
from scheduling.services.percents import Search, search_percents
from scheduling.services.proposal import Proposal
from scheduling.services.wording import WeekFigures, percent_reason, risk_words, two_zones

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

SETTLED_FROM_ROW = 5  # a dry start has been made good by then if the days allow it
WORTH_IT_STRESS = 0.05  # stress a move spares that overrides the dead band
DRIVES_POINTS = 15


def percent_proposals(coming: Coming, balance: Balance) -> dict[int, Proposal]:
    """Return the percents worth proposing by the place of their group."""
    if not coming.groups:
        return {}
    results = search_percents(coming)
    net, gross, first = _after_change(coming, results)
    outlook = Outlook(keep=keep_trace(coming), change=change_trace(coming, net_mm=net, first_day=first))
    found = {}
    for n, (group, result) in enumerate(zip(coming.groups, results, strict=True)):
        if group.site.season != Site.Season.OPEN or result.chosen in (None, group.current):
            continue
        units, runs = coming.units_and_runs(n)
        water = litres(coming, runs=runs, gross_change=gross[runs], first=result.first_day)
        if _worth_it(group, result, water=water, risk=risk_of(coming, outlook.keep, units)):
            found[n] = _proposal(coming, n, balance, result=result, outlook=outlook, water=water)
    return found


def _after_change(coming: Coming, results: list[Search]) -> tuple[Floats, Floats, Ints]:
    net, gross = coming.kept_net_mm.copy(), coming.kept_gross_mm.copy()
    first = np.ones(len(coming.runs), dtype=np.intp)
    for n, result in enumerate(results):
        _, runs = coming.units_and_runs(n)
        row = result.at(result.chosen) if result.chosen is not None else None
        if row is not None:
            net[runs], gross[runs] = result.net_mm[row], result.gross_mm[row]
        first[runs] = result.first_day
    return net, gross, first


def _worth_it(group: Group, result: Search, *, water: float, risk: Risk) -> bool:
    move = abs((result.chosen or 0) - group.current)
    row = result.at(group.current)
    spared = float(result.stress[row]) - result.least if row is not None else 1.0
    if move < group.policy.dead_band_points and spared < WORTH_IT_STRESS:
        return False
    if not group.channel.needs_visit or group.next_visits:
        return True
    return abs(water) >= group.policy.visit_worth_l or risk.level == DRY


def _proposal(
    coming: Coming, place: int, balance: Balance, *, result: Search, outlook: Outlook, water: float
) -> Proposal:
    group, field = coming.groups[place], coming.field
    units, runs = coming.units_and_runs(place)
    unit = result.deciding_unit if result.deciding_unit >= 0 else int(units[0])
    zone = field.zones[coming.zone_of_unit[unit]]
    chosen = int(result.chosen or 0)
    keep, change = risk_of(coming, outlook.keep, units), risk_of(coming, outlook.change, units)
    enough = _enough(coming, outlook.change, units, last=result.last_day)
    full = _night_is_full(result)
    return Proposal(
        group=group,
        kind=Change.Kind.PERCENT,
        proposed=chosen,
        effective_from=field.rows.on + timedelta(days=result.first_day - 1),
        effective_to=None,
        reason=percent_reason(
            current=group.current,
            proposed=chosen,
            zone_number=zone.number,
            plant=PLANTS[zone.plant].name.lower(),
            figures=_figures(coming, unit, runs, first=result.first_day),
            enough=enough,
            night_full=full,
            units=group.site.client.company.units,
        )
        + _two_zones(coming, zone.number, keep, change),
        litres=water,
        risk_keep=keep,
        risk_change=change,
        keep_words=risk_words(keep, _number(coming, keep)),
        change_words=risk_words(change, _number(coming, change)),
        deciding_zone=zone.pk,
        write_down=partial(_inputs, coming, place, balance, result=result, outlook=outlook, deciding=unit),
        hints=_hints(coming, group, result, enough=enough, full=full, runs=runs),
    )


def _two_zones(coming: Coming, deciding: int, *risks: Risk) -> str:
    """Explain the first risk that names another zone than the deciding one."""
    named = [_number(coming, risk) for risk in risks if risk.level != UNHARMED]
    return next((two_zones(deciding, number) for number in named if number != deciding), "")


def _number(coming: Coming, risk: Risk) -> int:
    return int(coming.field.zones[coming.zone_of_unit[risk.unit]].number)


def _inputs(
    coming: Coming, place: int, balance: Balance, *, result: Search, outlook: Outlook, deciding: int
) -> dict[str, Any]:
    group, field = coming.groups[place], coming.field
    units, runs = coming.units_and_runs(place)
    written = Written(
        units=units,
        runs=runs,
        net_mm=result.net_mm,
        gross_mm=result.gross_mm,
        minutes=field.depths(result.percents.astype(np.float64), runs=coming.runs[runs]).minutes,
        days=result.last_day + 1,
    )
    by_zone = traces(coming, written, keep=outlook.keep, change=outlook.change)
    zone = field.zones[coming.zone_of_unit[deciding]].pk
    return (
        common_inputs(coming, group, balance, written)
        | percent_inputs(result)
        | {
            "deciding": zone,
            "trace": by_zone[str(zone)],
            "traces": by_zone,
            "night": _night(result, group),
        }
    )


def _enough(coming: Coming, changed: Floats, units: Ints, *, last: int) -> bool:
    """Tell whether the percent keeps every zone out of lasting shortage once a dry start is made good."""
    taw, raw = coming.taw_mm[units], coming.raw_mm[units]
    bearable = raw + SLIGHT * (taw - raw)
    return bool((changed[SETTLED_FROM_ROW : last + 1][:, units] <= bearable).all())


def _figures(coming: Coming, unit: int, runs: Ints, *, first: int) -> WeekFigures:
    rows = slice(first, min(first + WEEK, coming.days))
    own = runs[coming.unit_of_run[runs] == unit]
    given = (coming.starts[rows][:, own] * coming.kept_net_mm[own]).sum() + coming.fixed_mm[rows, unit].sum()
    return WeekFigures(
        uses_mm=float(coming.et_mm[rows, unit].sum()),
        rain_mm=float(coming.rain_mm[rows, unit].sum()),
        soil_gives_mm=max(0.0, MARGIN * float(coming.raw_mm[unit]) - float(coming.start_mm[unit])),
        given_now_mm=float(given),
        without_tonight=_leaves_tonight_out(coming, own),
    )


def _leaves_tonight_out(coming: Coming, runs: Ints) -> bool:
    """Tell whether a skip is proposed for the coming night too, which the percent is searched without."""
    field = coming.field
    planned = field.starts[field.today + 1, field.program_of_run[coming.runs[runs]]]
    return bool((planned > coming.starts[1, runs]).any())


def _night_is_full(result: Search) -> bool:
    above = (
        ~result.allowed & (result.percents > (result.chosen or 0)) & (result.night_over > result.night_ends)
    )
    return bool((result.stress[above] < result.least - 0.01).any())


def _night(result: Search, group: Group) -> dict[str, float | None]:
    now, then = result.at(group.current), result.at(int(result.chosen or 0))
    return {
        "ends_min": float(result.night_ends),
        "keep_over_min": float(result.night_over[now]) if now is not None else None,
        "change_over_min": float(result.night_over[then]) if then is not None else None,
    }


def _hints(
    coming: Coming, group: Group, result: Search, *, enough: bool, full: bool, runs: Ints
) -> list[str]:
    hints = []
    chosen = int(result.chosen or 0)
    if result.without_deciding is not None and chosen - result.without_deciding >= DRIVES_POINTS:
        hints.append("one zone drives it")
    if full:
        hints.append("night is full")
    elif not enough:
        hints.append("needs more days")
    nights = int((coming.starts[1 : WEEK + 1][:, runs].max(axis=1, initial=0) > 0).sum())
    if 0 < chosen <= 30 and nights > 2:
        hints.append("fewer days would do")
    if group.channel.needs_visit:
        hints.append("rides along with a visit" if group.next_visits else "worth a trip")
    if coming.field.weather.fallback_days[coming.field.column_of(group.site)]:
        hints.append("weather is late")
    return hints
