"""How often alerts are wrong on clean data, and that what is broken is found."""

import sys
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from reports.numerics.use_alerts import (
    ZoneFlow,
    idle_litres,
    is_beyond,
    is_flow_off,
    is_idle_use,
    whole_flow,
    zone_flows,
)
from tests.reports.measured.invented_hours import Hours, clean_hours


def idle_days(hours: Hours, extra: np.ndarray | float = 0.0) -> int:
    idle = idle_litres(hours.used_l + extra, due=hours.due, day_of_bin=hours.day, days=hours.days)
    by_day = np.bincount(hours.day, weights=hours.expected_l.sum(axis=1))
    return int(is_idle_use(idle, usual_l=float(np.median(by_day[by_day > 0]))).sum())


def whole(hours: Hours) -> ZoneFlow:
    return whole_flow(hours.used_l, hours.expected_l, night_of_bin=hours.night, nights=hours.days + 1)


def flows(hours: Hours, used: np.ndarray | None = None) -> list[ZoneFlow]:
    told = hours.used_l if used is None else used
    return zone_flows(told, hours.expected_l, night_of_bin=hours.night, nights=hours.days + 1)


@dataclass
class Wrong:
    """Alerts on clean data, and how much was looked at."""

    sites: int = 0
    idle: int = 0
    zones: int = 0
    zones_off: int = 0
    nights_off: int = 0


def wrong(seeds: int, *, tested: bool) -> Wrong:
    told = Wrong(sites=seeds)
    for seed in range(seeds):
        hours = clean_hours(seed, known_to=0.05 if tested else 0.15)
        told.idle += idle_days(hours) > 0
        of_zones = flows(hours)
        told.zones += sum(flow.nights >= 3 for flow in of_zones)
        told.zones_off += sum(is_flow_off(flow, tested=tested) for flow in of_zones)
        told.nights_off += is_flow_off(whole(hours), tested=tested)
    return told


def test_clean_data_raise_no_alert_but_rarely() -> None:
    told = wrong(80, tested=True)
    assert (told.idle, told.nights_off) == (0, 0)
    assert told.zones >= 20  # else nothing was looked at
    assert told.zones_off <= 1


@pytest.mark.prove
def test_false_alarms_over_many_seeds(capsys: Any) -> None:
    every = [(tested, wrong(500, tested=tested)) for tested in (True, False)]
    with capsys.disabled():
        sys.stdout.write("\nalerts on clean data, 500 invented sites of two weeks\n")
        for tested, told in every:
            kind = "flows tested (5 % off)" if tested else "flows from rate and area (15 % off)"
            sys.stdout.write(
                f"  {kind:<38} idle use {told.idle}, nights {told.nights_off} of {told.sites} sites; "
                f"flow {told.zones_off} of {told.zones} zones told\n"
            )
    for _, told in every:
        assert told.idle <= 0.01 * told.sites
        assert told.nights_off <= 0.01 * told.sites
        assert told.zones_off <= 0.02 * told.zones


def test_a_valve_that_does_not_shut_is_found_on_every_day() -> None:
    """Two litres a minute is 120 L an hour, over 1,000 L a day at hours nothing is due."""
    for seed in range(10):
        assert idle_days(clean_hours(seed, bin_min=60), extra=120.0) == 14


def test_a_zone_that_takes_twice_its_water_is_found_where_it_runs_alone() -> None:
    found = told = 0
    for seed in range(80):
        hours = clean_hours(seed, known_to=0.05)
        for zone, flow in enumerate(flows(hours)):
            if flow.nights >= 3:
                told += 1
                broken = flows(hours, hours.used_l + real_water(hours, zone))[zone]
                found += is_flow_off(broken, tested=False) and broken.ratio > 1
    assert told >= 20
    assert found >= 0.95 * told


def real_water(hours: Hours, zone: int) -> np.ndarray:
    """Return what a zone is due, for as much again on top."""
    return hours.expected_l[:, zone]


def test_programs_that_take_half_of_what_they_should_are_found() -> None:
    for seed in range(10):
        hours = clean_hours(seed)
        halved = whole_flow(
            0.5 * hours.used_l, hours.expected_l, night_of_bin=hours.night, nights=hours.days + 1
        )
        assert is_flow_off(halved, tested=False) and halved.ratio < 1


def test_flows_by_hand() -> None:
    """Zone 1 has 100 of 80 L and 10 L in the hour after, 1.375; zone 2 runs beside it at another time only.

    Hours: nothing, zone 1 alone, nothing, nothing, both: only the first three tell of zone 1, none of zone 2.
    All together: 100 + 10 + 300 of 80 + 80 + 120 L.
    """
    used = np.array([0.0, 100.0, 10.0, 0.0, 300.0])
    expected = np.array([[0.0, 0.0], [80.0, 0.0], [0.0, 0.0], [0.0, 0.0], [80.0, 120.0]])
    night = np.zeros(5, dtype=int)
    one, two = zone_flows(used, expected, night_of_bin=night, nights=1)
    assert (one.ratio, one.nights) == (1.375, 1)
    assert (np.isnan(two.ratio), two.nights) == (True, 0)
    both = whole_flow(used, expected, night_of_bin=night, nights=1)
    assert both.ratio == pytest.approx(410 / 280)
    long = np.array([[0.0, 9.0], [30.0, 0.0], [40.0, 0.0], [40.0, 0.0], [40.0, 0.0], [0.0, 9.0]])
    own = zone_flows(np.full(6, 50.0), long, night_of_bin=np.zeros(6, dtype=int), nights=1)[0]
    assert (own.ratio, own.nights) == (1.25, 1)  # only the hour far from the other zone's: 50 of 40 L
    assert not is_flow_off(ZoneFlow(1.25, 2), tested=True)  # two nights are too few
    assert is_flow_off(ZoneFlow(1.25, 3), tested=True)
    assert not is_flow_off(ZoneFlow(1.25, 3), tested=False)
    assert is_flow_off(ZoneFlow(0.55, 3), tested=False)


@pytest.mark.parametrize(
    ("used", "due", "told"), [(1_900, 1_000, False), (2_100, 1_000, True), (14_000, 10_000, False)]
)
def test_beyond_takes_a_cubic_metre_and_half_as_much_again(used: float, due: float, told: bool) -> None:
    assert is_beyond(used, due) is told


def test_unknown_hours_are_no_use() -> None:
    day = np.array([0, 0, 1])
    used, due = np.array([np.nan, 5.0, 400.0]), np.array([False, True, False])
    idle = idle_litres(used, due=due, day_of_bin=day, days=2)
    assert np.isnan(idle[0]) and idle[1] == 400.0
    assert is_idle_use(idle, usual_l=1_000.0).tolist() == [False, True]
