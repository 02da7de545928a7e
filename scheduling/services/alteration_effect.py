"""What altering programs would do in the coming days: water, risk to plants, the percents to go with it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from common.errors import Refused
from fleet.models import Controller, Site
from scheduling.models.detail import Altered, Detail
from scheduling.season.nights import starts_a_week
from scheduling.selectors.altered_season import altered_season
from scheduling.selectors.season_load import Loaded
from scheduling.services.coming_days import Coming, coming_days
from scheduling.services.groups import INCOMPLETE, NO_WEATHER, READY, Group, groups_of
from scheduling.services.inputs import Written, common_inputs, traces
from scheduling.services.outlook import Risk, keep_trace, risk_of, trace_of
from scheduling.services.percents import judged_days, search_percents
from scheduling.services.wording import risk_words

Floats = NDArray[np.float64]
Searched = Mapping[str, tuple[int, Group]]


@dataclass(frozen=True)
class Judged:
    """An alteration with the percents found for it, and what it does in the coming days.

    ``litres`` are used more, or less if below zero, in an average week, against the settings in force
    going on [L].
    """

    detail: Detail
    group: Group
    effective_from: date
    litres: float
    risk_keep: Risk
    risk_change: Risk
    keep_words: str
    change_words: str
    deciding_zone: int
    inputs: dict[str, Any]


def judge(loaded: Loaded, controller: Controller, detail: Detail, *, zone: int | None) -> Judged:
    """Return what an alteration of a controller's programs would do.

    Parameters
    ----------
    loaded
        The season of the controller's site.
    detail
        What its programs hold and would hold; the percents afterwards are found here.
    zone
        The zone it is about, None where it is about a program.

    Raises
    ------
    Refused
        If it can't be computed: a survey is incomplete, or the weather is too late.
    """
    now = together(loaded, controller, detail.letters)
    found = _with_percents(loaded, controller, detail)
    then = together(altered_season(loaded, controller, found), controller, detail.letters)
    keep = coming_days(loaded.field, loaded.balance, [now])
    changed = coming_days(altered_season(loaded, controller, found).field, loaded.balance, [then])
    first, _ = judged_days(now, keep)
    return _judged(keep, changed, found, loaded, first=first, zone=zone)


def together(loaded: Loaded, controller: Controller, letters: Sequence[str]) -> Group:
    """Return the programs of some letters as one group, whose zones are looked at together."""
    field = loaded.field
    groups = [
        group for group in groups_of(field, policies=loaded.policies) if group.controller.pk == controller.pk
    ]
    own = [g for g in groups if any(field.programs[column].letter in letters for column in g.columns)]
    if not own:
        raise Refused("This program doesn't run any more.")
    for group in own:
        if group.state == INCOMPLETE:
            lacks = "; ".join(f"{zone}: {', '.join(missing)}" for zone, missing in group.missing)
            raise Refused(f"Its survey is incomplete ({lacks}), so what it would do can't be computed.")
        if group.state == NO_WEATHER:
            raise Refused("The weather is too late to compute what it would do.")
    columns = [c for group in own for c in group.columns if field.programs[c].letter in letters]
    runs = [
        run
        for group in own
        for run in group.runs
        if field.programs[field.program_of_run[run]].letter in letters
    ]
    lead = min((field.programs[c] for c in columns), key=lambda p: letters.index(p.letter))
    place = next(c for c in columns if field.programs[c].pk == lead.pk)
    return replace(
        own[0],
        columns=columns,
        runs=runs,
        zones=sorted({int(field.zone_of_run[run]) for run in runs}),
        lead=lead,
        state=READY,
        current=int(field.percents[field.today + 1, place]),
    )


def _with_percents(loaded: Loaded, controller: Controller, detail: Detail) -> Detail:
    """Return the detail with each program's percent moved by as much as the alteration itself moves its need.

    The nightly search is made without and with it. Where one percent serves the whole controller, and at
    sites that are opening or closing, percents stay; a letter that is new begins with the one it was given.
    """
    scope = controller.percent_scope
    if scope == Controller.PercentScope.CONTROLLER or loaded.field.rows.sites[0].season != Site.Season.OPEN:
        return detail
    before = _searched(loaded, controller)
    after = _searched(altered_season(loaded, controller, detail), controller)
    return Detail(tuple(_moved(one, before, after) for one in detail.programs))


def _searched(season: Loaded, controller: Controller) -> dict[str, tuple[int, Group]]:
    """Return the percent the search finds for each program of a controller, with its group."""
    groups = [
        g for g in groups_of(season.field, policies=season.policies) if g.controller.pk == controller.pk
    ]
    coming = coming_days(season.field, season.balance, groups)
    found = zip(coming.groups, search_percents(coming) if coming.groups else [], strict=True)
    return {g.lead.letter: (result.chosen, g) for g, result in found if result.chosen is not None}


def _moved(one: Altered, before: Searched, after: Searched) -> Altered:
    if one.before is None or one.letter not in before or one.letter not in after:
        return one
    (was, group), (then, _) = before[one.letter], after[one.letter]
    percent = moved_percent(one.before.percent, was=was, then=then)
    small = abs(percent - one.before.percent) < group.policy.dead_band_points
    return one if small else one.at(percent)


def moved_percent(current: int, *, was: int, then: int) -> int:
    """Return a percent moved by the points an alteration frees or costs, but not past what it then needs.

    >>> moved_percent(140, was=140, then=100), moved_percent(100, was=140, then=100)
    (100, 100)
    """
    shifted = current + then - was
    return min(current, max(then, shifted)) if then < was else max(current, min(then, shifted))


def _judged(
    keep: Coming, changed: Coming, detail: Detail, loaded: Loaded, *, first: int, zone: int | None
) -> Judged:
    group, field = keep.groups[0], keep.field
    units = np.arange(len(keep.zone_of_unit))
    kept = keep_trace(keep)
    then = _after(keep, changed, first=first)
    risks = risk_of(keep, kept, units), risk_of(keep, then, units)
    names = [field.zones[keep.zone_of_unit[risk.unit]] for risk in risks]
    here = {field.zones[place].pk for place in keep.zone_of_unit}
    deciding = zone if zone in here and zone is not None else names[0].pk
    written = Written(
        units=units,
        runs=np.arange(len(keep.runs)),
        net_mm=keep.kept_net_mm[np.newaxis],
        gross_mm=keep.kept_gross_mm[np.newaxis],
        minutes=field.minutes[keep.runs][np.newaxis],
        days=keep.days,
    )
    litres = _week_litres(changed) - _week_litres(keep)
    by_zone = traces(keep, written, keep=kept, change=then)
    return Judged(
        detail=detail,
        group=group,
        effective_from=field.rows.on + timedelta(days=first - 1),
        litres=litres,
        risk_keep=risks[0],
        risk_change=risks[1],
        keep_words=risk_words(risks[0], names[0].number),
        change_words=risk_words(risks[1], names[1].number),
        deciding_zone=deciding,
        inputs=common_inputs(keep, group, loaded.balance, written)
        | {
            "percents": [group.current],
            "deciding": deciding,
            "first_day": first,
            "litres": litres,
            "trace": by_zone[str(deciding)],
            "traces": by_zone,
        },
    )


def _after(keep: Coming, changed: Coming, *, first: int) -> Floats:
    """Return the depletion of every zone if the alteration acts from a day on, (H, units). [mm]"""
    acts = np.arange(keep.days)[:, np.newaxis] >= first
    water = np.where(
        acts,
        changed.kept_net_by_day() + changed.fixed_mm,
        keep.kept_net_by_day() + keep.fixed_mm,
    )
    return trace_of(keep, water)


def _week_litres(coming: Coming) -> float:
    """Return what leaves the heads in an average week, skips not taken off. [L]

    An alteration stays: what this very week skips, or how its odd and even dates fall, says little of it.
    """
    field = coming.field
    weekly = starts_a_week(field.programs, first=field.rows.on)
    area = field.survey.area_m2[field.zone_of_run[coming.runs]]
    return float((weekly[field.program_of_run[coming.runs]] * coming.kept_gross_mm * area).sum())
