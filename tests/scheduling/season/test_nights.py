"""Which balance day a start counts on, which version of a program runs, which percent is behind it."""

from datetime import date, timedelta

import numpy as np
import pytest

from fleet.models import Controller
from scheduling.models import Program
from scheduling.season.nights import percents_in_force, runs_on, skipped, watering_days, waterings

MONDAY = date(2026, 7, 13)
DAYS = 8


def program(pk: int = 1, **fields: object) -> Program:
    usual = {"days": "mon", "starts": ["03:00"], "effective": date(2026, 1, 1), "letter": "A"}
    return Program(pk=pk, controller=Controller(pk=1), **(usual | fields))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("start", "lands"),
    [
        ("03:00", MONDAY),
        ("11:59", MONDAY),
        ("12:00", MONDAY + timedelta(days=1)),
        ("22:30", MONDAY + timedelta(days=1)),
    ],
)
def test_a_start_counts_on_the_morning_its_night_ends(start: str, lands: date) -> None:
    starts = waterings([program(starts=[start])], first=MONDAY, count=DAYS)[:, 0]
    days = [MONDAY + timedelta(days=n) for n in np.flatnonzero(starts).tolist()]
    assert days[0] == lands
    assert all((day - lands).days % 7 == 0 for day in days)


def test_starts_of_one_night_add_up_across_midnight() -> None:
    """Monday 22:00 and Tuesday 3:00 belong to Monday's night and land on Tuesday."""
    starts = waterings([program(days="mon tue", starts=["22:00", "03:00"])], first=MONDAY, count=4)[:, 0]
    assert starts.tolist() == [1, 2, 1, 0]


def test_odd_dates_meet_at_the_end_of_a_month() -> None:
    """31 July and 1 August are both odd."""
    waters = watering_days(program(days="odd"), first=date(2026, 7, 30), count=4)
    assert waters.tolist() == [False, True, True, False]


def test_a_new_version_takes_over_on_its_first_night() -> None:
    old = program(1, days="daily")
    new = program(2, days="daily", starts=["02:00", "04:00"], effective=MONDAY + timedelta(days=3))
    starts = waterings([old, new], first=MONDAY, count=6)
    assert starts[:, 0].tolist() == [1, 1, 1, 1, 0, 0]  # the night of the 15th is the old version's last
    assert starts[:, 1].tolist() == [0, 0, 0, 0, 2, 2]
    assert runs_on([old, new], night=MONDAY + timedelta(days=2)).tolist() == [True, False]
    assert runs_on([old, new], night=MONDAY + timedelta(days=3)).tolist() == [False, True]


def test_an_ended_program_waters_no_more() -> None:
    ended = program(days="daily", ended=MONDAY + timedelta(days=2))
    assert waterings([ended], first=MONDAY, count=5)[:, 0].tolist() == [1, 1, 1, 0, 0]


def test_a_percent_is_first_felt_on_the_morning_after_its_night() -> None:
    settings = [(1, date(2026, 6, 1), 90), (1, MONDAY + timedelta(days=1), 70)]
    percents = percents_in_force([program(1), program(2)], settings, first=MONDAY, count=4)
    assert percents[:, 0].tolist() == [90, 90, 70, 70]
    assert percents[:, 1].tolist() == [100, 100, 100, 100]


def test_a_skip_takes_both_its_nights() -> None:
    skips = [(1, MONDAY, MONDAY + timedelta(days=1)), (9, MONDAY, MONDAY)]
    assert skipped([program(1)], skips, first=MONDAY, count=5)[:, 0].tolist() == [
        False,
        True,
        True,
        False,
        False,
    ]


def test_a_skip_that_began_before_the_first_day_still_counts() -> None:
    skips = [(1, MONDAY - timedelta(days=9), MONDAY)]
    assert skipped([program(1)], skips, first=MONDAY, count=3)[:, 0].tolist() == [True, True, False]
