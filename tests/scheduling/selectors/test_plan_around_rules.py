"""Plans around what a rule limits besides hours: minutes a day, heads left alone, dates past midnight."""

from datetime import date, time

import pytest

from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.plan import plan
from scheduling.selectors.simulate import simulate
from tests.scheduling.selectors.unsaved import CLOCK, asked, controller, night_rule, rule, shrubs, zone


def test_a_cap_of_minutes_a_day_is_planned_around_with_more_days():
    """The lawn of test_plan wants 71 min on four days a week. 45 min at 13 mm/h, 0.779 of it usable, are
    7.6 mm, which last a day at 6.77 mm, so it waters daily: 6.77 / (13 x 0.779) x 60 = 40.1 min, set as 41.
    """
    (one,) = plan(asked(zone(), rule=rule(zone_minutes=45))).zones
    assert (one.interval_days, one.minutes) == (1, 41.0)
    assert plan(asked(zone(), rule=rule(zone_minutes=45))).fits
    assert one.reasons["interval_days"].sentence == (
        "The rule lets it have 45 min a day, enough for every day; its soil would last for every 2 days."
    )


def test_a_cap_too_low_for_any_number_of_days_is_named_with_what_helps():
    found = plan(asked(zone(), rule=rule(zone_minutes=20)))
    (one,) = found.zones
    assert one.minutes == 20.0
    assert found.binding == "minutes"
    told = found.stops[0].reason.sentence
    assert told == "Zone 1 Bed 1 would take 40.1 min on a watering day; the rule lets it have 20 min."
    assert {way.key for way in found.ways_out} >= {"less"}
    assert "but the rule lets it have 20 min a day" in one.reasons["minutes"].sentence


def test_a_cap_counts_all_starts_of_a_day():
    found = plan(
        asked(
            zone(soil="clay", slope_percent=8.0),
            rule=rule(zone_minutes=30),
            of=controller(cycle_and_soak=False, starts_per_program=4),
        )
    )
    (one,) = found.zones
    (program,) = found.programs
    assert one.minutes * len(program.starts) <= 30


def test_heads_a_rule_leaves_alone_are_planned_without_it():
    town = rule(weekdays="sat", exempt_heads="drip", zone_minutes=30)
    found = plan(asked(zone(1), shrubs(2), rule=town))
    days = {one.letter: one.days for one in found.programs}
    lawn, beds = (one.letter for one in found.zones)
    assert days[lawn] == "sat"
    assert days[beds] == plan(asked(shrubs(2))).programs[0].days
    assert found.zones[1].minutes == plan(asked(shrubs(2))).zones[0].minutes
    (program,) = [one for one in found.programs if one.letter == beds]
    assert program.reasons["days"].sentence.endswith("The rule leaves these heads alone.")


def test_where_a_rule_goes_by_dates_water_is_over_before_midnight_or_begins_after_it():
    found = plan(asked(*(zone(n) for n in range(1, 4)), rule=night_rule(parity="odd")))
    assert found.fits
    for program in found.programs:
        for start in program.starts:
            begin = (int(start[:2]) * 60 + int(start[3:]) - 720) % 1440
            assert begin >= 720 or begin + 3 * 71 <= 720, program


def test_water_that_runs_on_past_midnight_into_a_day_forbidden_is_seen():
    """July 7 2026 is an odd date; a start at 23:30 that runs for 81 minutes ends on the 8th."""
    found = plan(asked(zone(), rule=rule(parity="odd")))
    box = found.box
    program = box.entries[0].program
    for start, bindings in (("23:30", ["days"]), ("22:30", []), ("00:30", [])):
        program.starts = [start]
        night = simulate([box], clock=NightClock(date(2026, 7, 7), CLOCK.timezone), supply_l_min=None)
        assert [limit.binding for limit in night.limits] == bindings, start
        if bindings:
            assert night.limits[0].at.time() == time(0)


@pytest.mark.parametrize("cap", [25, 60, 100])
def test_no_plan_gives_a_zone_more_than_its_cap(cap):
    found = plan(asked(zone(1), zone(2, precipitation_rate_mm_h=8.0), rule=rule(zone_minutes=cap)))
    starts = {one.letter: len(one.starts) for one in found.programs}
    for one in found.zones:
        assert one.minutes * starts[one.letter] <= cap
