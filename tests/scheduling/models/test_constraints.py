"""What the database itself refuses about programs and changes, whoever writes."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from scheduling.models import Change, Delivery, NightlyRun, NightlyRunCompany, Program, Setting, Skip, ZoneRun
from scheduling.models.changes import ALTERATIONS
from tests.cast import MORNING, TIMEZONE, TODAY, Cast, a_change, a_program, a_skip, a_zone
from tests.scheduling.models.test_detail import DETAIL

pytestmark = pytest.mark.django_db
NOW = timezone.now()
EARLIER = TODAY - timedelta(days=1)


def refuses(make, *args, **fields) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        make(*args, **fields)


def test_one_change_waits_per_program_and_kind(cast: Cast):
    refuses(a_change, cast.program)
    a_skip(cast.program)
    a_skip(cast.program, kind="freeze_skip")
    refuses(a_skip, cast.program)
    a_change(a_program(cast.controller, "B"))
    Change.objects.filter(pk=cast.change.pk).update(status="superseded")
    a_change(cast.program)


@pytest.mark.parametrize(
    ("status", "times", "fits"),
    [
        ("pending", {}, True),
        ("pending", {"decided_at": NOW}, False),
        ("pending", {"applied_at": NOW}, False),
        ("approved", {"decided_at": NOW}, True),
        ("approved", {}, False),
        ("approved", {"decided_at": NOW, "applied_at": NOW}, False),
        ("applied", {"decided_at": NOW, "applied_at": NOW}, True),
        ("applied", {"decided_at": NOW}, False),
        ("applied", {"applied_at": NOW}, False),
        ("declined", {"decided_at": NOW}, True),
        ("declined", {}, False),
        ("superseded", {}, True),
        ("superseded", {"decided_at": NOW}, True),
        ("superseded", {"applied_at": NOW}, False),
        ("expired", {}, True),
        ("expired", {"applied_at": NOW}, False),
        ("forgotten", {}, False),
    ],
)
def test_times_agree_with_the_status(cast: Cast, status, times, fits):
    fields = {"status": status, "decided": 85, **times}
    program = a_program(cast.controller, "B")
    if fits:
        a_change(program, **fields)
    else:
        refuses(a_change, program, **fields)


@pytest.mark.parametrize(
    "wrong",
    [
        {"proposed": None},
        {"kind": "snow_skip", "effective_to": TODAY},
        {"kind": "rain_skip", "effective_to": None},
        {"effective_to": EARLIER},
        {"status": "approved", "decided": None, "decided_at": NOW},
        {"detail": DETAIL},
        {"kind": "rain_skip", "effective_to": TODAY, "detail": DETAIL},
        {"kind": "minutes"},
        {"kind": "days", "detail": DETAIL, "proposed": None},
        {"kind": "program", "detail": DETAIL, "decided": 85, "decided_at": NOW, "status": "approved"},
    ],
)
def test_a_change_has_what_its_kind_needs(cast: Cast, wrong):
    refuses(a_change, a_program(cast.controller, "B"), **wrong)


@pytest.mark.parametrize("kind", ALTERATIONS)
def test_an_alteration_waits_once_a_program_and_kind(cast: Cast, kind):
    a_change(cast.program, kind=kind, detail=DETAIL)
    refuses(a_change, cast.program, kind=kind, detail=DETAIL)
    approved = {"status": "approved", "decided_at": NOW}
    a_change(cast.program, kind=kind, detail=DETAIL, **approved)
    a_change(cast.program, kind="rain_skip", effective_to=TODAY)


def test_a_program_has_one_version_a_day_and_a_setting_one_percent_a_night(cast: Cast):
    refuses(a_program, cast.controller, "A")
    a_program(cast.controller, "A", effective=TODAY)
    Setting.objects.create(program=cast.program, percent=90, effective_from=TODAY)
    refuses(Setting.objects.create, program=cast.program, percent=95, effective_from=TODAY)
    refuses(Setting.objects.create, program=cast.program, percent=501, effective_from=EARLIER)


def test_a_skip_ends_no_earlier_than_it_begins(cast: Cast):
    refuses(
        Skip.objects.create, program=cast.program, effective_from=TODAY, effective_to=EARLIER, reason="Rain."
    )
    Skip.objects.create(program=cast.program, effective_from=TODAY, effective_to=TODAY, reason="Rain.")


def test_a_zone_is_in_a_program_once_and_runs_no_negative_time(cast: Cast):
    refuses(ZoneRun.objects.create, program=cast.program, zone=cast.zone, minutes=5)
    second = a_zone(cast.controller, 2)
    for wrong in ({"minutes": -1}, {"minutes": 5, "cycle": 0}, {"minutes": 5, "soak": -1}):
        refuses(ZoneRun.objects.create, program=cast.program, zone=second, **wrong)


def test_a_change_goes_one_way_to_its_controller_and_a_night_has_one_run(cast: Cast):
    Delivery.objects.create(change=cast.change, channel="office")
    refuses(Delivery.objects.create, change=cast.change, channel="office")
    refuses(NightlyRun.objects.create, date=TODAY, timezone=TIMEZONE, started_at=MORNING)
    refuses(NightlyRunCompany.objects.create, run=cast.run, company=cast.company)


def test_a_program_runs_zones_of_its_own_controller(cast: Cast):
    from fleet.models import Controller

    elsewhere = a_zone(Controller.objects.create(site=cast.site, name="Shed"))
    with pytest.raises(ValidationError, match="another controller"):
        ZoneRun(program=cast.program, zone=elsewhere, minutes=5).full_clean()


@pytest.mark.parametrize(
    "wrong",
    [
        {"days": ""},
        {"days": "daily mon"},
        {"days": "Mon"},
        {"starts": ["4:30"]},
        {"starts": ["24:00"]},
        {"starts": ["04:30\n"]},
        {"starts": ["٠٤:٣٠"]},
        {"starts": "04:30"},
        {"starts": [430]},
    ],
)
def test_days_and_starts_are_written_one_way(cast: Cast, wrong):
    fields = {"days": "daily", "starts": ["04:30"], **wrong}
    with pytest.raises(ValidationError) as refusal:
        Program(controller=cast.controller, letter="B", effective=TODAY, **fields).full_clean()
    assert set(refusal.value.message_dict) == set(wrong)


def test_a_program_knows_its_watering_days(cast: Cast):
    monday, tuesday = date(2026, 7, 6), date(2026, 7, 7)
    for days, waters in [
        ("daily", (True, True)),
        ("odd", (False, True)),
        ("even", (True, False)),
        ("mon thu", (True, False)),
        ("tue", (False, True)),
    ]:
        program = Program(days=days)
        assert (program.waters_on(monday), program.waters_on(tuesday)) == waters
