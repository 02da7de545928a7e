from datetime import date, datetime, time, timedelta

from fleet.models import WateringRule
from scheduling.models import Setting, Skip, ZoneRun
from scheduling.selectors.tonight import tonight
from tests.cast import TODAY, Cast, a_program, a_site, a_zone


def run(cast: Cast, letter: str, minutes: float, *, starts: list[str], **fields):
    program = a_program(cast.controller, letter, starts=starts, **fields)
    zone = a_zone(cast.controller, number=10 + ord(letter))
    ZoneRun.objects.create(program=program, zone=zone, minutes=minutes)
    return program


def seen(cast: Cast):
    return tonight(cast.company.pk, night=TODAY)


def test_first_start_and_last_finish_follow_programs_and_percents(cast: Cast):
    # Program A of the cast: 12 minutes at 4:30. B: 100 minutes at 22:00, at 150 percent 150 minutes.
    program = run(cast, "B", 100, starts=["22:00"])
    Setting.objects.create(program=program, percent=80, effective_from=TODAY - timedelta(days=9))
    Setting.objects.create(program=program, percent=150, effective_from=TODAY - timedelta(days=2))
    Setting.objects.create(program=program, percent=50, effective_from=TODAY + timedelta(days=1))
    found = seen(cast)
    assert found.watering == 2
    assert found.first_start == datetime(2026, 7, 6, 22, 0)
    assert found.last_finish == datetime(2026, 7, 7, 4, 42)


def test_programs_of_a_controller_wait_for_each_other(cast: Cast):
    run(cast, "B", 60, starts=["04:00"])
    # B runs 4:00 to 5:00, so A's 12 minutes, due at 4:30, end at 5:12.
    assert seen(cast).last_finish == datetime(2026, 7, 7, 5, 12)


def test_a_night_longer_than_its_hours_is_named(cast: Cast):
    cast.site.watering_rule = WateringRule.objects.create(
        company=cast.company, name="by six", hours_from=time(20), hours_to=time(6)
    )
    cast.site.save()
    run(cast, "B", 150, starts=["03:50"])
    (over,) = seen(cast).overruns
    # 3:50 and 150 minutes is 6:20, then A's 12 minutes: 32 minutes past six.
    assert (over.controller, over.minutes) == (cast.controller, 32)


def test_skipped_programs_and_closed_sites_are_counted_apart(cast: Cast):
    Skip.objects.create(program=cast.program, effective_from=TODAY, effective_to=TODAY, reason="rain")
    a_site(cast.client, "Shut", season="closed")
    found = seen(cast)
    assert (found.watering, found.skipping, found.closed_sites) == (0, 1, 1)
    assert found.first_start is None


def test_a_program_that_rests_tonight_is_not_counted(cast: Cast):
    cast.program.days = "wed"
    cast.program.save()
    assert seen(cast).watering == 0


def test_cycles_and_soaks_count(cast: Cast):
    cast.program.runs.update(minutes=20, cycle=10, soak=30)
    # 10 minutes, 30 of soak, 10 minutes.
    assert seen(cast).last_finish == datetime(2026, 7, 7, 5, 20)


def test_another_company_is_left_out(cast: Cast):
    assert tonight(cast.company.pk + 1, night=date(2026, 7, 6)).watering == 0
