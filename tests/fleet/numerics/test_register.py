"""What a register counted: every case by hand, one day between readings where nothing else is said."""

import pytest

from fleet.numerics.register import DAY_S, FELL, RESET, Reading, steps_of


def readings(*values, reset=()):
    return [Reading(n * DAY_S, value, n in reset) for n, value in enumerate(values)]


def used(*values, rolls_over_at=None, reset=()):
    return [(s.used, s.doubt) for s in steps_of(readings(*values, reset=reset), rolls_over_at=rolls_over_at)]


def test_differences_are_counted_in_whatever_order_readings_came():
    late = [Reading(2 * DAY_S, 130.0), Reading(0.0, 100.0), Reading(DAY_S, 110.0)]
    assert [(s.begin, s.end, s.used) for s in steps_of(late)] == [
        (0.0, DAY_S, 10.0),
        (DAY_S, 2 * DAY_S, 20.0),
    ]
    assert steps_of([]) == steps_of(readings(5.0)) == []


def test_a_register_that_starts_over_is_believed_and_told():
    # 999,990 to 1,000,000 are 10, and 5 more.
    told = "taken to have started over at 1,000,000"
    assert used(999_970, 999_990, 5, 25, rolls_over_at=1e6) == [(20, ""), (15, told), (20, "")]


def test_it_is_not_believed_where_it_would_be_half_the_register_or_far_more_than_ever():
    assert used(400_000, 300_000, rolls_over_at=1e6) == [(None, FELL)]
    assert used(999_000, 999_010, 500, 510, rolls_over_at=1e6)[1] == (None, FELL)  # 1,490 after 10 a day
    assert used(999_990, 5) == [(None, FELL)]


def test_a_reset_said_by_a_person_holds_even_where_the_reading_rose():
    assert used(100, 150, 170, reset={1}) == [(None, RESET), (20, "")]


def test_one_reading_that_fits_neither_before_nor_after_is_left_out():
    low, high = used(100, 40, 120, 130), used(100, 500, 120, 130)
    assert [u for u, _ in low] == [20, 10] == [u for u, _ in high]
    assert low[0][1] == "a reading of 40 in between was left out: it fits neither before nor after"
    assert "500" in high[0][1] and high[1][1] == ""


def test_an_undeclared_reset_stays_unknown_and_what_follows_counts():
    assert used(90, 100, 3, 20, 35) == [(10, ""), (None, FELL), (17, ""), (15, "")]


def test_a_long_time_without_a_reading_is_told():
    step = steps_of([Reading(0.0, 1.0), Reading(100 * DAY_S, 51.0)])[0]
    assert (step.used, step.doubt) == (50.0, "no reading for 100 days; spread evenly")


@pytest.mark.parametrize(("values", "end"), [((1.0, -2.0), None), ((1.0,), 0.0)])
def test_what_no_register_shows_is_refused(values, end):
    with pytest.raises(ValueError, match="0 or more"):
        steps_of(readings(*values), rolls_over_at=end)
