"""Nights when the clock jumps; offsets as the tz database has them for the United States."""

from datetime import date, time

import pytest

from scheduling.selectors.night_clock import NightClock

SPRING = NightClock(date(2026, 3, 7), "America/Denver")  # to summer time at 02:00 on 8 March
AUTUMN = NightClock(date(2026, 10, 31), "America/Denver")  # back at 02:00 on 1 November
USUAL = NightClock(date(2026, 7, 14), "America/Denver")


def test_a_night_lasts_a_day_or_an_hour_less_or_more():
    assert [night.minutes for night in (USUAL, SPRING, AUTUMN)] == [1440, 1380, 1500]


def test_evening_belongs_to_the_first_date_and_morning_to_the_second():
    assert USUAL.start(time(12, 0)).isoformat() == "2026-07-14T12:00:00-06:00"
    assert USUAL.start(time(23, 59)).isoformat() == "2026-07-14T23:59:00-06:00"
    assert USUAL.start(time(0, 0)).isoformat() == "2026-07-15T00:00:00-06:00"
    assert USUAL.start(time(11, 59)).isoformat() == "2026-07-15T11:59:00-06:00"


@pytest.mark.parametrize("at", [time(2, 0), time(2, 1), time(2, 59)])
def test_a_time_the_clock_jumps_over_is_the_moment_it_jumps(at):
    assert SPRING.jumped_over(at)
    assert SPRING.start(at).isoformat() == "2026-03-08T03:00:00-06:00"
    assert SPRING.minute_of(SPRING.start(at)) == 14 * 60


def test_times_beside_the_jump_are_as_they_are():
    assert not SPRING.jumped_over(time(1, 59))
    assert not SPRING.jumped_over(time(3, 0))
    assert SPRING.minute_of(SPRING.start(time(3, 30))) == 14 * 60 + 30
    assert not any(night.jumped_over(time(2, 30)) for night in (USUAL, AUTUMN))


def test_of_a_time_shown_twice_the_first_counts():
    assert AUTUMN.shown_twice(time(1, 30))
    assert AUTUMN.start(time(1, 30)).isoformat() == "2026-11-01T01:30:00-06:00"
    assert AUTUMN.moment(14 * 60 + 30).isoformat() == "2026-11-01T01:30:00-07:00"
    assert not any(night.shown_twice(time(1, 30)) for night in (USUAL, SPRING))
    assert not AUTUMN.shown_twice(time(2, 0))


def test_half_an_hour_is_jumped_over_where_the_clock_jumps_by_half_an_hour():
    night = NightClock(date(2026, 10, 3), "Australia/Lord_Howe")
    assert night.minutes == 1410
    assert night.start(time(2, 15)).isoformat() == "2026-10-04T02:30:00+11:00"
