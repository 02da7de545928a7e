"""Plans from rows that aren't stored: what each number is, what is overruled, what stops and what helps."""

from datetime import time
from itertools import pairwise

import pytest

from scheduling.selectors.plan import Overrides, ProgramOverride, ZoneOverride, plan
from tests.scheduling.selectors.unsaved import asked, controller, night_rule, rule, shrubs, spray, zone


def test_a_lawn_by_hand():
    """Loam holds 0.17 mm/mm, half of it usable: 17 mm in 200. July 7.2 x 0.94 = 6.77 mm a day: 2 days.

    Four days a week are 1.75 days apart on average: 11.84 mm. At 13 mm/h, of which 0.95 / 1.2195 = 0.779
    arrives: 70.2 min, set as 71.
    """
    (one,) = plan(asked(zone())).zones
    assert (one.interval_days, one.minutes, one.cycles) == (2, 71.0, 1)
    assert one.raw_mm == pytest.approx(17.0)
    assert one.need_mm_day == pytest.approx(6.768)
    assert one.depth_mm == pytest.approx(11.844)
    assert one.weekly_l == pytest.approx(4 * 71 * 39.0)
    assert one.reasons["interval_days"].sentence == (
        "Soil holds 17.0 mm these roots may use, July takes 6.8 mm a day: every 2 days."
    )
    assert one.reasons["interval_days"].facts["raw"].basis == "table"


def test_water_is_split_where_it_would_run_off():
    """Spray of 40 mm/h on clay loam at 8 percent: 60 x 4.572 / (38 - 5.08) = 8.33 min, held as 8."""
    (one,) = plan(asked(spray(1, soil="clay_loam", slope_percent=8))).zones
    assert one.longest_min == 8.0
    assert one.cycle_min <= 8
    assert one.cycles == -(-one.minutes // one.cycle_min)
    assert one.soak_min >= one.cycle_min * (38.0 / 5.08 - 1) - 1e-6
    assert one.effect.waste_l_week < 0.1 * one.weekly_l


def test_unlike_zones_dont_share_a_program():
    found = plan(asked(zone(1), zone(2), shrubs(3), shrubs(4)))
    assert [[run.zone.number for run in one.runs] for one in found.programs] == [[1, 2], [3, 4]]
    assert found.fits
    assert [len(one.days.split()) for one in found.programs] == [4, 1]


def test_too_few_programs_are_named_and_one_more_helps():
    found = plan(asked(zone(1), shrubs(2), of=controller(program_capacity=1)))
    assert found.binding == "programs"
    (way,) = found.ways_out
    assert (way.key, way.fits) == ("program", True)
    assert way.waste_l_week < found.waste_l_week


def test_an_incomplete_survey_is_left_out_and_named():
    found = plan(asked(zone(1), zone(2, soil="", uniformity=None)))
    assert [one.zone.number for one in found.zones] == [1]
    assert [(one.zone.number, one.missing) for one in found.left_out] == [(2, ["soil", "uniformity"])]
    nothing = plan(asked(zone(1, plant="")))
    assert (nothing.zones, nothing.programs, nothing.night) == ((), (), None)


def test_without_weather_nothing_is_planned():
    found = plan(asked(zone(), et_mm_day=[None] * 12))
    assert (found.binding, found.zones) == ("weather", ())


def test_a_controller_without_cycles_starts_several_times():
    cycling = plan(asked(spray(1, soil="clay_loam"))).zones[0]
    found = plan(asked(spray(1, soil="clay_loam"), of=controller(cycle_and_soak=False)))
    (one,), (program,) = found.zones, found.programs
    assert one.minutes <= one.longest_min
    assert cycling.minutes <= one.minutes_a_watering < cycling.minutes + len(program.starts)
    at = [60 * int(start[:2]) + int(start[3:]) for start in program.starts]
    apart = [(later - earlier) % 1440 for earlier, later in pairwise(at)]
    assert all(gap >= one.minutes + one.soak_needed_min for gap in apart)
    assert len(apart) == one.minutes_a_watering / one.minutes - 1


def test_too_few_starts_run_off_and_are_named():
    found = plan(asked(spray(1, soil="clay"), of=controller(cycle_and_soak=False, starts_per_program=1)))
    assert found.binding == "starts"
    assert {way.key for way in found.ways_out} == {"start", "cycle_and_soak"}
    ways = {way.key: way for way in found.ways_out}
    assert all(way.waste_l_week < found.waste_l_week / 2 for way in ways.values())


def test_a_rule_gives_the_days():
    odd = plan(asked(zone(), rule=rule(parity="odd")))
    assert odd.programs[0].days == "odd"
    assert odd.fits
    two = plan(asked(zone(), rule=night_rule(weekdays="mon thu", days_per_week=2)))
    assert (two.binding, two.programs[0].days) == ("days", "mon thu")
    assert two.over_limit_mm > 3
    (more,) = [way for way in two.ways_out if way.key == "day"]
    assert more.over_limit_mm < two.over_limit_mm
    none = plan(asked(zone(), rule=rule(days_per_week=0)))
    assert (none.binding, none.programs) == ("days", ())
    assert none.ways_out[0].key == "day"


def test_programs_share_the_days_a_rule_counts():
    found = plan(asked(zone(1), shrubs(2), rule=rule(days_per_week=4)))
    days = {day for one in found.programs for day in one.days.split()}
    assert len(days) == 4


def test_too_short_a_night_names_the_hours_and_what_helps():
    zones = [zone(number) for number in range(1, 9)]
    found = plan(asked(*zones, rule=rule(hours_from=time(23), hours_to=time(4)), supply_l_min=90.0))
    assert found.binding == "hours"
    assert found.overrun_min == pytest.approx(8 * 71 - 300)
    ways = {way.key: way for way in found.ways_out}
    assert ways["hour"].overrun_min == pytest.approx(8 * 71 - 360)
    assert ways["at_once"].fits
    assert not ways["less"].overrun_min
    assert ways["less"].over_limit_mm > 0


def test_the_flow_of_the_source_is_kept():
    found = plan(asked(zone(), supply_l_min=30.0))
    assert found.binding == "flow"
    side_by_side = plan(
        asked(zone(1, area_m2=300), zone(2, area_m2=100), of=controller(zones_at_once=2), supply_l_min=70.0)
    )
    assert side_by_side.binding == "flow"


def test_what_a_person_sets_is_shown_with_its_effect():
    base = plan(asked(zone(1), zone(2)))
    less = plan(asked(zone(1), zone(2)), Overrides(zones={2: ZoneOverride(minutes=40)}))
    assert [one.minutes for one in less.zones] == [71, 40]
    assert less.zones[1].effect.over_limit_mm > 0
    assert less.binding == "days"
    more = plan(asked(zone(1), zone(2)), Overrides(zones={2: ZoneOverride(minutes=140)}))
    assert more.waste_l_week > base.waste_l_week + 5000
    moved = plan(asked(zone(1), zone(2)), Overrides(zones={2: ZoneOverride(program="C")}))
    assert [one.letter for one in moved.programs] == ["A", "C"]
    often = plan(asked(zone()), Overrides(programs={"A": ProgramOverride(days="daily", starts=("02:00",))}))
    assert (often.programs[0].days, often.programs[0].starts) == ("daily", ("02:00",))
    assert often.zones[0].minutes < 71
    split = plan(asked(zone()), Overrides(zones={1: ZoneOverride(cycle=20, soak=30)}))
    assert (split.zones[0].cycle_min, split.zones[0].soak_min, split.zones[0].cycles) == (20, 30, 4)


def test_programs_end_before_six_one_after_another():
    found = plan(asked(zone(1), zone(2), shrubs(3, root_depth_mm=900)))
    assert f"{found.night.ends:%H:%M}" <= "06:00"
    assert found.night.fits


def test_months_are_percents_of_the_peak_month():
    (one,) = plan(asked(zone(), of=controller(percent_step=5))).programs
    assert one.month_percents[6] == 100
    assert one.month_percents[0] == 10  # 1.0 x 0.61 of 7.2 x 0.94: 9 %
    assert all(percent % 5 == 0 for percent in one.month_percents)
