"""Whatever is surveyed, whatever the controller, rule and water: a plan breaks nothing it doesn't name."""

from datetime import time
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some

from fleet.numerics.heads import HEADS
from fleet.numerics.plants import PLANTS
from fleet.numerics.soils import SOILS
from scheduling.models import Program, ZoneRun
from scheduling.selectors import beside
from scheduling.selectors.arrangement import arrange
from scheduling.selectors.plan import plan
from scheduling.selectors.simulate import Box, Entry, simulate
from tests.scheduling.selectors.unsaved import CLOCK, asked, controller, rule, zone

CAREFUL = settings(deadline=None, suppress_health_check=list(HealthCheck), max_examples=60)

zones = some.lists(
    some.fixed_dictionaries(
        {
            "plant": some.sampled_from(list(PLANTS)),
            "head": some.sampled_from(list(HEADS)),
            "soil": some.sampled_from(list(SOILS)),
            "slope_percent": some.sampled_from((0.0, 4.0, 10.0, 30.0)),
            "area_m2": some.floats(5, 800),
            "root_depth_mm": some.floats(80, 900),
            "precipitation_rate_mm_h": some.floats(2, 120),
            "uniformity": some.floats(0.3, 0.95),
        }
    ),
    min_size=1,
    max_size=9,
)
controllers = some.fixed_dictionaries(
    {
        "program_capacity": some.integers(1, 4),
        "starts_per_program": some.integers(1, 4),
        "minute_step": some.sampled_from((0.1, 0.5, 1.0, 5.0)),
        "cycle_and_soak": some.booleans(),
        "zones_at_once": some.sampled_from((1, 1, 2)),
    }
)
rules = some.one_of(
    some.none(),
    some.builds(
        rule,
        weekdays=some.sampled_from(("", "mon thu", "mon wed fri", "tue thu sat sun")),
        days_per_week=some.sampled_from((None, 2, 3, 5)),
        hours_from=some.sampled_from((None, time(18), time(22))),
        hours_to=some.sampled_from((None, time(5), time(10))),
    ),
    some.builds(rule, parity=some.sampled_from(("odd", "even")), hours_to=some.just(time(9))),
)


@CAREFUL
@given(zones, controllers, rules, some.sampled_from((None, 60.0, 150.0)))
def test_a_plan_breaks_nothing_it_does_not_name(surveyed, held, town, supply):
    wired = [zone(n, **survey) for n, survey in enumerate(surveyed, start=1)]
    box = controller(**held)
    found = plan(asked(*wired, of=box, rule=town, supply_l_min=supply), ways=False)
    named = {stop.binding for stop in found.stops}
    assert sorted(run.zone.number for one in found.programs for run in one.runs) == [z.number for z in wired]
    assert len(found.programs) <= box.program_capacity
    for one in found.programs:
        assert 1 <= len(one.starts) <= box.starts_per_program
        for run in one.runs:
            steps = run.minutes / box.minute_step
            assert steps == pytest.approx(round(steps), abs=1e-4) or run.minutes == 1440
    for planned in found.zones:
        longest = planned.longest_min or float("inf")
        if "starts" not in named:
            assert (planned.cycle_min or planned.minutes) <= longest + 1e-6
        assert planned.cycle_min is None or planned.soak_min >= planned.soak_needed_min
    for night in [found.night] if found.night else []:
        spans: dict[int, list] = {}
        for event in night.events:
            spans.setdefault(event.zone.number, []).append(event)
        soaks = {one.zone.number: one.soak_needed_min for one in found.zones}
        if not named & {"hours", "starts"}:
            for number, events in spans.items():
                for before, after in pairwise(events):
                    pause = (after.start - before.end).total_seconds() / 60
                    assert pause >= soaks[number] * min(1, _share(before, found)) - 0.1
        assert night.fits == (not {limit.binding for limit in night.limits})
        if "flow" not in named and supply:
            assert night.peak_l_min <= supply * (1 + 1e-6)


def _share(event, found) -> float:
    """Return how long a cycle was of the cycle its soak is for: a remainder drains sooner."""
    one = next(one for one in found.zones if one.zone.number == event.zone.number)
    whole = one.cycle_min or one.minutes
    return (event.end - event.start).total_seconds() / 60 / whole


programs = some.lists(
    some.tuples(
        some.sampled_from(("daily", "odd", "even", "mon wed fri", "tue")),
        some.lists(some.integers(0, 95), min_size=1, max_size=3, unique=True),
        some.lists(
            some.tuples(some.integers(3, 50), some.sampled_from((None, 4, 9)), some.sampled_from((0, 20))),
            min_size=1,
            max_size=5,
        ),
    ),
    min_size=1,
    max_size=3,
)


@CAREFUL
@given(some.lists(programs, min_size=1, max_size=3), some.sampled_from((None, 45.0, 90.0)))
def test_an_arrangement_is_never_worse_and_moves_no_minute(walls, supply):
    boxes = [_box(n, wall) for n, wall in enumerate(walls, start=1)]
    found = arrange(boxes, clock=CLOCK, supply_l_min=supply)
    then = {one.program.pk: one for one in found.proposed}
    for box in boxes:
        for entry in box.entries:
            moved = then[entry.program.pk]
            assert moved.program.days == entry.program.days
            assert len(moved.starts) == len(entry.program.starts)
            assert sorted((r.zone.number, r.minutes, r.cycle, r.soak) for r in moved.runs) == sorted(
                (r.zone.number, r.minutes, r.cycle, r.soak) for r in entry.runs
            )
    if found.now and found.then:
        assert len(found.then.limits) <= len(found.now.limits)
        assert sum(one.minutes for one in found.then.limits) <= sum(
            one.minutes for one in found.now.limits
        ) + 1e-6 or len(found.then.limits) < len(found.now.limits)


def _box(number, wall) -> Box:
    box = controller(pk=number, program_capacity=4)
    entries = []
    for n, (days, starts, runs) in enumerate(wall):
        program = Program(
            pk=10 * number + n,
            controller=box,
            letter="ABC"[n],
            days=days,
            starts=[f"{at // 4:02}:{at % 4 * 15:02}" for at in starts],
            effective=CLOCK.night,
        )
        entries.append(
            Entry(
                program,
                [
                    ZoneRun(program=program, zone=zone(k, pk=100 * number + k), minutes=m, cycle=c, soak=s)
                    for k, (m, c, s) in enumerate(runs, start=1)
                ],
            )
        )
    return Box(box, entries)


def test_several_walls_on_one_source_take_turns():
    walls = [[("daily", [12], [(60, None, 0)])], [("daily", [12], [(60, None, 0)])]]
    boxes = [_box(n, wall) for n, wall in enumerate(walls, start=1)]
    now = simulate(boxes, clock=CLOCK, supply_l_min=45.0)
    assert now.binding == "flow"  # 39 L/min each
    found = arrange(boxes, clock=CLOCK, supply_l_min=45.0)
    assert found.then.fits
    assert sorted(one.starts[0] for one in found.proposed) == ["04:00", "05:00"]


@CAREFUL
@given(some.lists(programs, min_size=2, max_size=3), some.sampled_from((None, 45.0, 90.0)))
def test_what_others_open_counts_as_if_they_were_simulated_along(walls, supply):
    own, *others = (_box(n, wall) for n, wall in enumerate(walls, start=1))
    together = simulate([own, *others], clock=CLOCK, supply_l_min=supply).of(own.controller)
    opened = beside.Beside(others, CLOCK).events(CLOCK)
    alone = simulate([own], clock=CLOCK, supply_l_min=supply, beside=opened).of(own.controller)
    assert alone == together


def test_what_others_do_is_worked_out_once_for_a_plan_and_all_its_ways_out(monkeypatch):
    others = [_box(n, [("daily", [12], [(60, None, 0)]), ("odd", [4], [(30, 9, 20)])]) for n in (2, 3)]
    worked_out = []

    def counted(boxes, *, clock, supply_l_min):
        worked_out.append(clock.night)
        return simulate(boxes, clock=clock, supply_l_min=supply_l_min)

    monkeypatch.setattr(beside, "simulate", counted)
    wired = [zone(n, head="spray", precipitation_rate_mm_h=40.0, area_m2=300.0) for n in range(1, 7)]
    town = rule(weekdays="mon thu", hours_from=time(22), hours_to=time(1))
    found = plan(asked(*wired, of=controller(pk=1), rule=town, supply_l_min=150.0, others=others))
    assert len(found.ways_out) >= 2
    assert sorted(worked_out) == sorted(set(worked_out)), "no night twice"
    assert worked_out
