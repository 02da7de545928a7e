from datetime import UTC, date, datetime, time

import pytest

from desk import dates

NBSP = "\u00a0"
DAY = date(2026, 7, 14)


def test_the_month_comes_first_with_us_customary_units():
    assert dates.day(DAY, "us") == f"Tue{NBSP}Jul{NBSP}14"
    assert dates.day(DAY, "metric") == f"Tue{NBSP}14{NBSP}Jul"
    assert dates.long_day(DAY, "us") == f"Tuesday, July{NBSP}14"
    assert dates.long_day(DAY, "metric") == f"Tuesday 14{NBSP}July"


@pytest.mark.parametrize(
    ("at", "us", "metric"),
    [
        (time(0, 5), "12:05 am", "0:05"),
        (time(12, 0), "12:00 pm", "12:00"),
        (time(17, 30), "5:30 pm", "17:30"),
    ],
)
def test_times_have_am_and_pm_or_twenty_four_hours(at, us, metric):
    assert dates.clock_time(at, "us") == us.replace(" ", NBSP)
    assert dates.clock_time(at, "metric") == metric


def test_a_moment_is_told_in_the_sites_own_time():
    moment = datetime(2026, 7, 14, 12, 10, tzinfo=UTC)
    assert dates.moment(moment, "America/Los_Angeles", "metric") == f"Tue{NBSP}14{NBSP}Jul 5:10"


def test_a_skip_names_its_nights():
    assert dates.nights(DAY, DAY) == "Tue night"
    assert dates.nights(DAY, date(2026, 7, 16)) == "Tue to Thu nights"


def test_a_length_of_time_is_hours_and_minutes():
    assert dates.duration(185.0) == f"3{NBSP}h{NBSP}05{NBSP}min"
    assert dates.duration(14.4) == f"14{NBSP}min"


def test_watering_days_are_words():
    assert dates.watering_days("mon wed fri") == "Mon Wed Fri"
    assert dates.watering_days("odd") == "odd dates"
