"""The percent each decision unit needs: the search over all it can hold, within the night and the policy."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scheduling.numerics.percent_search import MARGIN, TOLERANCE, Choice, search
from scheduling.selectors.night_queue import Fit
from scheduling.services.coming_days import FORECAST_DAYS, HORIZON_DAYS, Coming
from scheduling.services.groups import Group
from scheduling.services.nights_fit import (
    group_night,
    heads_of_programs,
    minutes_at_percents,
    minutes_of_programs,
)
from scheduling.services.shared_nights import percents_standing, turns_in_shared_nights
from scheduling.services.zone_minutes import keeps_zone_minutes

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.intp]

VISIT_EVERY_DAYS = 28  # between planned visits where only one is known; common practice, no source


@dataclass
class Search:
    """What the search found for one group; percents are whole numbers."""

    percents: NDArray[np.int64]
    stress: Floats
    allowed: Bools
    fits: Bools  # the night and the rule have room, whatever the policy says
    chosen: int | None
    least: float
    deciding_unit: int  # place on the units axis, -1 if none
    without_deciding: int | None
    first_day: int
    last_day: int
    night_over: Floats  # minutes after noon, by candidate
    night_ends: float
    net_mm: Floats  # (P, runs of the group)
    gross_mm: Floats

    def at(self, percent: int) -> int | None:
        """Return the row of a percent, or None if the controller can't hold it."""
        found = np.flatnonzero(self.percents == percent)
        return int(found[0]) if found.size else None


@dataclass(frozen=True)
class _Pick:
    """The arrays of one search over some groups, see ``percent_search.search``."""

    coming: Coming
    units: Ints  # places on the coming days' units axis
    runs: Ints
    unit_of_run: Ints
    group_of_unit: Ints
    net_mm: Floats
    percents: Floats
    first_day: Ints
    last_day: Ints
    allowed: Bools
    bearable: Floats

    def search(self) -> Choice:
        """Search the percents."""
        coming, units, runs = self.coming, self.units, self.runs
        return search(
            percents=self.percents,
            net_mm=self.net_mm,
            kept_net_mm=coming.kept_net_mm[runs],
            starts=coming.starts[:, runs],
            unit_of_run=self.unit_of_run,
            group_of_unit=self.group_of_unit,
            first_day=self.first_day,
            last_day=self.last_day,
            fixed_mm=coming.fixed_mm[:, units],
            start_depletion_mm=coming.start_mm[units],
            et_mm=coming.et_mm[:, units],
            rain_mm=coming.rain_mm[:, units],
            taw_mm=coming.taw_mm[units],
            raw_mm=coming.raw_mm[units],
            allowed=self.allowed,
            margin=MARGIN,
            tolerance=TOLERANCE,
            bearable=self.bearable,
        )

    def but(self, left_out: Ints) -> "_Pick":
        """Return the same search without some units, to see what the others would need."""
        kept = np.flatnonzero(~np.isin(np.arange(self.units.size), left_out))
        place = np.full(self.units.size, -1, dtype=np.intp)
        place[kept] = np.arange(kept.size)
        runs = place[self.unit_of_run] >= 0
        return replace(
            self,
            units=self.units[kept],
            runs=self.runs[runs],
            unit_of_run=place[self.unit_of_run][runs],
            group_of_unit=self.group_of_unit[kept],
            net_mm=self.net_mm[:, runs],
        )


def candidates(group: Group) -> NDArray[np.int64]:
    """Return every percent the controller of a group can hold."""
    return np.arange(0, group.controller.percent_max + 1, group.controller.percent_step, dtype=np.int64)


def judged_days(group: Group, coming: Coming) -> tuple[int, int]:
    """Return the first and last row of the horizon a decision is judged on.

    Where policy lets every move happen by itself, each night decides anew, and as far as a forecast sees is
    far enough; where people approve some, a percent stays for a week and more. A controller within reach
    changes tonight. One that needs a visit changes on the next planned visit, or tomorrow if none is planned,
    and is judged to the visit after it.
    """
    last = min(HORIZON_DAYS, coming.days) - 1
    if not group.channel.needs_visit:
        return 1, min(FORECAST_DAYS, last) if _moves_by_itself(group) else last
    on = coming.field.rows.on
    waits = (group.next_visits[0] - on).days if group.next_visits else 1
    after = (group.next_visits[1] - on).days if len(group.next_visits) > 1 else waits + VISIT_EVERY_DAYS
    first = min(waits + 1, coming.days - 1)
    return first, min(max(after, first + 6, last), coming.days - 1)


def _moves_by_itself(group: Group) -> bool:
    """Tell whether any move passes without anybody: also the large one up after the soil was drawn down."""
    policy = group.policy
    widest = min(policy.percent_max, group.controller.percent_max) - policy.percent_min
    return 0 < widest <= policy.auto_move_points


def search_percents(coming: Coming) -> list[Search]:
    """Search the percent of every ready group; groups of one controller never overrun its night together.

    Where the programs of a controller would, the thirstiest keeps its percent and the others are searched
    again in what is left of the night, one after another.
    """
    held = [group.current for group in coming.groups]
    results = search_some(coming, range(len(coming.groups)), held=held)
    taken = list(held)
    for turn in turns_in_shared_nights(
        coming, {n: r.chosen for n, r in results.items()}, _thirst(results, held)
    ):
        results |= search_some(coming, turn, held=taken)
        for n in turn:
            taken[n] = max(held[n], results[n].chosen or 0)
    return [results[n] for n in range(len(coming.groups))]


def _thirst(results: dict[int, Search], held: Sequence[int]) -> dict[int, float]:
    """Return how much stress a move would spare each group. [-]"""
    thirst = {}
    for n, result in results.items():
        row = result.at(held[n])
        thirst[n] = float(result.stress[row]) - result.least if row is not None else 0.0
    return thirst


def search_some(coming: Coming, members: Iterable[int], *, held: Sequence[int]) -> dict[int, Search]:
    """Search some groups, those of equal controllers together; the other programs run at ``held``."""
    by_class: dict[tuple[int, int], list[int]] = defaultdict(list)
    for n in members:
        controller = coming.groups[n].controller
        by_class[controller.percent_step, controller.percent_max].append(n)
    found: dict[int, Search] = {}
    for alike in by_class.values():
        found.update(zip(alike, _search(coming, alike, held=held), strict=True))
    return found


def _search(coming: Coming, members: list[int], *, held: Sequence[int]) -> list[Search]:
    groups = [coming.groups[n] for n in members]
    percents = candidates(groups[0])
    place = {n: k for k, n in enumerate(members)}
    units = np.flatnonzero(np.isin(coming.group_of_unit, members))
    unit_place = np.full(len(coming.group_of_unit), -1, dtype=np.intp)
    unit_place[units] = np.arange(units.size)
    runs = np.flatnonzero(unit_place[coming.unit_of_run] >= 0)
    group_of_unit = np.array([place[int(g)] for g in coming.group_of_unit[units]], dtype=np.intp)
    depths = coming.field.depths(percents.astype(np.float64), runs=coming.runs[runs])
    days = [judged_days(group, coming) for group in groups]
    fits, nights = _night_fits(coming, members, percents, held=held)
    allowed = fits & _policy_allows(groups, percents)
    pick = _Pick(
        coming=coming,
        units=units,
        runs=runs,
        unit_of_run=unit_place[coming.unit_of_run[runs]],
        group_of_unit=group_of_unit,
        net_mm=depths.net_mm,
        percents=percents / 100.0,
        first_day=np.array([first for first, _ in days], dtype=np.intp),
        last_day=np.array([last for _, last in days], dtype=np.intp),
        allowed=allowed,
        bearable=np.array([group.bearable for group in groups]),
    )
    choice = pick.search()
    without = pick.but(choice.deciding_unit).search()
    results = []
    edges = np.searchsorted(group_of_unit[pick.unit_of_run], np.arange(len(members) + 1))
    for k in range(len(groups)):
        of_group = slice(edges[k], edges[k + 1])
        index, least_other = int(choice.index[k]), int(without.index[k])
        results.append(
            Search(
                percents=percents,
                stress=choice.stress[:, k],
                allowed=allowed[:, k],
                fits=fits[:, k],
                chosen=int(percents[index]) if index >= 0 else None,
                least=float(choice.least[k]),
                deciding_unit=int(units[choice.deciding_unit[k]]) if choice.deciding_unit[k] >= 0 else -1,
                without_deciding=int(percents[least_other]) if least_other >= 0 else None,
                first_day=days[k][0],
                last_day=days[k][1],
                night_over=np.broadcast_to(nights[k].over, percents.shape),
                night_ends=nights[k].ends,
                net_mm=depths.net_mm[:, of_group],
                gross_mm=depths.gross_mm[:, of_group],
            )
        )
    return results


def _policy_allows(groups: list[Group], percents: NDArray[np.int64]) -> Bools:
    low = np.array([group.policy.percent_min for group in groups])
    high = np.array([group.policy.percent_max for group in groups])
    inside = (percents[:, np.newaxis] >= low) & (percents[:, np.newaxis] <= high)
    return np.asarray(np.where(inside.any(axis=0), inside, True))


def _night_fits(
    coming: Coming, members: list[int], percents: NDArray[np.int64], *, held: Sequence[int]
) -> tuple[Bools, list[Fit]]:
    """Tell which candidates end inside the night beside the controller's other programs as they stand."""
    field = coming.field
    fits = np.ones((len(percents), len(members)), dtype=bool)
    nights: list[Fit] = []
    own = minutes_of_programs(
        field, percents.astype(np.float64), columns=[c for n in members for c in coming.groups[n].columns]
    )
    stands = percents_standing(coming, held)
    standing = minutes_at_percents(field, stands)
    heads = heads_of_programs(field)
    for k, n in enumerate(members):
        group = coming.groups[n]
        beside = {c: standing[c] for c in field.columns_of_controller[group.controller.pk]}
        fit = group_night(field, group, own={c: own[c] for c in group.columns}, others=beside, heads=heads)
        within = np.broadcast_to(fit.fits, percents.shape)
        within = within & keeps_zone_minutes(field, group, percents, standing=stands)
        fits[:, k] = within if within[percents > 0].any() else percents <= held[n]
        nights.append(fit)
    return fits, nights
