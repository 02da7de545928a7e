"""Nights and the latest moment for a skip. A start before noon belongs to the night before (ours)."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest

from scheduling.models import Program
from scheduling.selectors.last_call import last_call, night_starts, running
from tests.cast import Cast, a_program, a_skip

NIGHT = date(2026, 7, 6)  # a Monday


def at(day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 7, day, hour, minute)


def test_an_evening_start_belongs_to_its_own_day_and_a_morning_start_to_the_night_before():
    program = Program(days="mon", starts=["22:00", "04:30"])
    assert night_starts(program, night=NIGHT) == [at(6, 22)]
    assert night_starts(program, night=date(2026, 7, 5)) == [at(6, 4, 30)]


def test_a_start_at_noon_opens_the_night():
    assert night_starts(Program(days="daily", starts=["12:00"]), night=NIGHT) == [at(6, 12)]


def test_only_the_newest_version_of_a_program_runs(cast: Cast):
    newer = a_program(cast.controller, "A", effective=date(2026, 7, 1))
    later = a_program(cast.controller, "A", effective=date(2026, 7, 9))
    assert running([cast.program, newer, later], night=NIGHT) == [newer]


@pytest.mark.parametrize(("delivery", "hour"), [("office", 19), ("on_site", 21)])
def test_the_last_call_is_the_first_start_less_what_the_channel_needs(cast: Cast, delivery, hour):
    cast.controller.delivery = delivery
    cast.controller.save()
    program = a_program(cast.controller, "S", starts=["03:00", "21:00"])
    assert last_call(a_skip(program), [program]) == datetime(
        2026, 7, 6, hour, tzinfo=ZoneInfo("America/Los_Angeles")
    )


def test_a_skip_for_a_whole_controller_goes_by_its_earliest_program(cast: Cast):
    early = a_program(cast.controller, "E", starts=["18:00"])
    late = a_program(cast.controller, "L", starts=["23:00"])
    skip = a_skip(late, whole_controller=True)
    call = last_call(skip, [early, late])
    assert call is not None
    assert call.hour == 16


def test_a_skip_of_a_night_without_a_start_has_no_last_call(cast: Cast):
    program = a_program(cast.controller, "S", days="wed", starts=["21:00"])
    assert last_call(a_skip(program), [program]) is None
