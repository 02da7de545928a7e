"""The plain sum and the day-by-day account, worked by hand for the zone of ``inputs_of``."""

import pytest

from scheduling.selectors.why import read_inputs
from scheduling.selectors.why_sum import account, what_if
from scheduling.selectors.why_zone import Course, ZoneSeen, trace
from tests.cast import Cast
from tests.desk.rows import inputs_of


def test_the_sum_adds_up_what_plants_use_and_what_soil_and_rain_give(cast: Cast):
    seen = read_inputs(inputs_of(cast.zone))
    assert seen.deciding is not None
    found = account(seen, seen.deciding)
    # Six days of 6 mm; held to 0.9 of 20 mm, 10 mm missing; 2.8 mm of rain count; three waterings of 10 mm.
    assert found.use_mm == pytest.approx(36.0)
    assert found.soil_mm == pytest.approx(8.0)
    assert found.rain_mm == pytest.approx(2.8)
    assert found.to_water_mm == pytest.approx(25.2)
    assert found.waterings == 3
    assert found.gives_mm == pytest.approx(30.0)
    assert found.percent == pytest.approx(84.0)


def test_soil_that_is_past_its_limit_must_get_water_back(cast: Cast):
    stored = inputs_of(cast.zone)
    stored["units"][0]["start_mm"] = 21.0
    seen = read_inputs(stored)
    assert seen.deciding is not None
    assert account(seen, seen.deciding).soil_mm == pytest.approx(-3.0)


def test_the_account_of_another_zone_is_kept_day_by_day(cast: Cast):
    # Watering, rain, ET, all with room. FAO-56 eq. 85: D = D - I - P + ET, and within RAW Ks is 1.
    zone = ZoneSeen.read(inputs_of(cast.zone)["units"][0])
    rain = [0.0, 0.0, 2.8, 0.0, 0.0, 0.0]
    assert trace(zone, rain, Course()) == pytest.approx([16.0, 10.0, 13.2, 7.2, 13.2, 7.2])
    assert trace(zone, rain, Course(index=1)) == pytest.approx([16.0, 12.0, 15.2, 11.2, 17.2, 13.2])


def test_a_change_acts_only_from_its_first_day_on(cast: Cast):
    zone = ZoneSeen.read(inputs_of(cast.zone)["units"][0])
    dry = [0.0] * 6
    late = trace(zone, dry, Course(index=0, from_day=4))
    assert late[:4] == pytest.approx(trace(zone, dry, Course())[:4])
    assert late[5] == pytest.approx(trace(zone, dry, Course())[5] + 4.0)


def test_a_skipped_day_gets_no_water_and_the_soil_holds_back_what_is_left(cast: Cast):
    zone = ZoneSeen.read(inputs_of(cast.zone)["units"][0])
    found = trace(zone, [0.0] * 6, Course(without=frozenset({1})))
    # Day 1 ends at 22; on day 2 Ks is (40 - 22) / (40 - 20) = 0.9 (FAO-56 eq. 84), so 5.4 of 6 mm go.
    assert found[:3] == pytest.approx([16.0, 22.0, 27.4])


def test_the_deciding_zone_shows_what_was_stored(cast: Cast):
    stored = inputs_of(cast.zone)
    stored["trace"] = {"keep": [1.0] * 6, "change": [2.0] * 6}
    seen = read_inputs(stored)
    assert seen.deciding is not None
    fate = seen.fate(seen.deciding)
    assert (fate.keep[0], fate.change[0]) == (1.0, 2.0)


def test_a_zone_with_a_stored_course_of_its_own_shows_that(cast: Cast):
    stored = inputs_of(cast.zone, traces={str(cast.zone.pk): {"keep": [3.0] * 6, "change": [4.0] * 6}})
    seen = read_inputs(stored)
    assert seen.deciding is not None
    assert list(seen.fate(seen.deciding).keep) == [3.0] * 6


def test_heads_that_are_less_even_than_assumed_would_want_a_higher_percent(cast: Cast):
    seen = read_inputs(inputs_of(cast.zone))
    assert seen.deciding is not None
    (uniformity,) = what_if(seen, seen.deciding, percent=100, step=5)
    # Scheduling multiplier 1 / (0.4 + 0.6 DU): 1.316 at 0.6, 1.429 at 0.5. 100 x 1.429 / 1.316 is 108.6.
    assert (uniformity.field, uniformity.percent) == ("uniformity", 110)


def test_a_slower_rate_than_assumed_would_want_a_higher_percent(cast: Cast):
    stored = inputs_of(cast.zone)
    stored["units"][0]["assumed"] = ["rate", "soil"]
    seen = read_inputs(stored)
    assert seen.deciding is not None
    rate, soil = what_if(seen, seen.deciding, percent=90, step=1)
    assert (rate.percent, soil.percent) == (100, None)


def test_an_older_change_without_inputs_is_read_as_empty():
    seen = read_inputs({"horizon_days": 7})
    assert seen.zone(None) is None
    assert seen.on is None
    assert list(seen.curve) == []
