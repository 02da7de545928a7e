"""The demo's meters: what they counted agrees with what was applied, and each hard case is there and told."""

from collections.abc import Iterator
from datetime import timedelta

import numpy as np
import pytest
from django.db import transaction

from fleet.models import Meter, MeterBill
from fleet.numerics.register import RESET
from fleet.selectors.meter_use import daily_litres, spans_of
from reports.selectors.program_days import program_days
from scheduling.demo.cases import site
from scheduling.demo.dates import TIMEZONE, demo_calendar
from scheduling.services.nightly import run_night

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.usefixtures("demo"),
    pytest.mark.sqlite,
]
ON = demo_calendar().on


def meter(key: str) -> Meter:
    return site(key).meters.get()


@pytest.fixture(scope="module")
def nights(demo, django_db_blocker) -> Iterator[None]:
    """Run one night, so that the accounts of soil water have begun; it is taken back after these tests."""
    with django_db_blocker.unblock(), transaction.atomic():
        run_night(on=ON, timezone=TIMEZONE)
        yield
        transaction.set_rollback(True)


@pytest.mark.parametrize("key", ["commons", "wagtail"])
def test_this_season_a_meter_counts_what_was_applied(nights, key):
    place = site(key)
    days = program_days([place.pk], on=ON, timezone=TIMEZONE)
    counted = daily_litres([meter(key).pk], first=days.days[0], last=days.days[-1], timezone=TIMEZONE)[
        meter(key).pk
    ]
    known = np.isfinite(counted)
    applied = np.nansum(days.applied_l[known])
    assert known.sum() > 50
    assert counted[known].sum() == pytest.approx(applied, rel=0.1)


def test_bills_of_two_years_stand_before_the_season_and_follow_it():
    for one in Meter.objects.all():
        bills = list(MeterBill.objects.filter(meter=one).order_by("first"))
        assert (bills[-1].last - bills[0].first).days > 650
        in_july, in_january = (
            [b.used / (b.last - b.first + timedelta(days=1)).days for b in bills if b.first.month == month]
            for month in (7, 1)
        )
        if in_july and in_january and not one.mixed:
            assert min(in_july) > 5 * max(in_january)


def test_every_hard_case_is_there_and_told():
    told = {
        key: [s.doubt for s in spans_of([meter(key).pk])[meter(key).pk]] for key in ("tule_east", "brannoc")
    }
    assert any("started over at 1,000,000" in doubt for doubt in told["tule_east"])
    assert [doubt for doubt in told["brannoc"] if doubt == RESET]
    assert set(Meter.objects.values_list("mixed", flat=True)) == {True, False}
    assert all("Invented" in one.note for one in Meter.objects.all())


def test_a_leak_runs_at_night_when_nothing_is_due():
    hours = meter("windrow_one").hours
    zone = demo_calendar().moment(ON, "00:00").tzinfo
    by_clock = {
        when: [
            one.used_l
            for one in hours.all()
            if one.begins_at.astimezone(zone).hour == 15
            and (ON - one.begins_at.astimezone(zone).date()).days in when
        ]
        for when in (range(1, 10), range(12, 29))
    }
    late, early = by_clock.values()
    assert min(late) > 80  # 2,300 L a day are 96 L an hour
    assert max(early) < 5
    readings = spans_of([meter("windrow_one").pk], first=ON - timedelta(days=20))[meter("windrow_one").pk]
    assert {span.origin for span in readings} == {"interval"}
