"""The worst of the coming nights under a plan, and what it does to each zone."""

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np

from scheduling.numerics.gross_to_net import net_depth
from scheduling.numerics.weeks_ahead import weeks_of
from scheduling.selectors.beside import nights_unlike
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.plan.asked import Asked
from scheduling.selectors.plan.need import Needs
from scheduling.selectors.plan.result import Effect
from scheduling.selectors.simulate import DAYS, Box, Night, simulate

MOST_NIGHTS = 10
BALANCE_DAYS, COUNTED_DAYS = 84, 56


def worst_night(asked: Asked, box: Box) -> Night | None:
    """Return the night that passes most, or waters longest; the controllers that share the water with it."""
    boxes = [box, *asked.others]
    nights = sorted(nights_unlike(boxes, asked.clock), key=lambda night: -_load(box, night))
    judged = [
        simulate([box], clock=night, supply_l_min=asked.supply_l_min, beside=asked.beside.events(night)).of(
            box.controller
        )
        for night in nights[:MOST_NIGHTS]
    ]
    return max(judged, key=_weight, default=None)


def effects(asked: Asked, needs: Needs, box: Box) -> list[Effect]:
    """Return what some weeks of the peak month without rain do to each zone under the programs of a box."""
    place = {zone.number: n for n, zone in enumerate(needs.zones)}
    net, runoff = np.zeros(len(place)), np.zeros(len(place))
    waters = np.zeros((BALANCE_DAYS, len(place)), dtype=bool)
    for entry in box.entries:
        days = np.array([entry.program.waters_on(day) for day in _days(asked.clock)])
        own = [place[run.zone.number] for run in entry.runs]
        chain = net_depth(
            [run.minutes for run in entry.runs],
            needs.application(own),
            cycle_min=[run.cycle or np.inf for run in entry.runs],
            soak_min=[run.soak or 0.0 for run in entry.runs],
        )
        starts = len(entry.program.starts)
        net[own] = starts * chain.net_mm
        runoff[own] = starts * chain.runoff_mm
        waters[:, own] = days[:, np.newaxis]
    weeks = weeks_of(
        net,
        waters,
        et_mm=needs.mm_day,
        taw_mm=needs.survey.taw_mm,
        raw_mm=needs.survey.raw_mm,
        counted=COUNTED_DAYS,
    )
    lost = 7 * (weeks.drained_mm + runoff * waters.mean(axis=0)) * needs.survey.area_m2
    return [
        Effect(float(over), float(over / raw), float(mean), float(litres), float(met))
        for over, raw, mean, litres, met in zip(
            weeks.over_limit_mm,
            needs.survey.raw_mm,
            weeks.mean_over_share,
            lost,
            weeks.met,
            strict=True,
        )
    ]


def _days(clock: NightClock) -> Sequence[date]:
    return [clock.night + timedelta(days=n) for n in range(BALANCE_DAYS)]


def _load(box: Box, night: NightClock) -> float:
    return sum(
        sum(run.minutes for run in entry.runs)
        for entry in box.entries
        for at in entry.program.start_times()
        if entry.program.waters_on(night.day_of(at))
    )


def _weight(night: Night) -> tuple[bool, bool, float, float]:
    return (
        any(limit.binding != DAYS for limit in night.limits),
        bool(night.limits),
        sum(limit.minutes + limit.flow_l_min for limit in night.limits),
        sum((event.end - event.start).total_seconds() for event in night.events),
    )
