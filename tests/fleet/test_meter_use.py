"""Readings, bills and hours of one meter put together, in the days of its site."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from fleet.models import Meter
from fleet.selectors.meter_use import NOTHING_KNOWN, Span, daily_litres, spans_of
from tests.cast import TIMEZONE, Cast

pytestmark = pytest.mark.django_db
ZONE = ZoneInfo(TIMEZONE)


def at(month: int, day: int, hour: int = 0) -> datetime:
    return datetime(2026, month, day, hour, tzinfo=ZONE)


@pytest.fixture
def meter(cast: Cast) -> Meter:
    return Meter.objects.create(site=cast.site, name="Main", unit="m3", rolls_over_at=1000)


def told(meter: Meter, **days) -> list[tuple[datetime, datetime, float | None, str]]:
    return [(s.begin, s.end, s.litres, s.origin) for s in spans_of([meter.pk], **days)[meter.pk]]


def test_hours_count_before_readings_and_readings_before_bills(meter: Meter):
    meter.bills.create(first=date(2026, 6, 1), last=date(2026, 6, 30), used=60)
    for day, value in ((11, 100), (21, 130)):
        meter.readings.create(read_at=at(6, day), value=value)
    for hour in range(24):
        meter.hours.create(begins_at=at(6, 15) + timedelta(hours=hour), used_l=hour)
    assert told(meter) == [
        (at(6, 1), at(6, 11), 20_000.0, "bill"),
        (at(6, 11), at(6, 15), 12_000.0, "reading"),
        (at(6, 15), at(6, 16), 276.0, "interval"),
        (at(6, 16), at(6, 21), 15_000.0, "reading"),
        (at(6, 21), at(7, 1), 20_000.0, "bill"),
    ]
    assert told(meter, first=date(2026, 6, 15), last=date(2026, 6, 15)) == [
        (at(6, 15), at(6, 16), 276.0, "interval")
    ]
    days = daily_litres([meter.pk], first=date(2026, 6, 14), last=date(2026, 7, 1), timezone=TIMEZONE)[
        meter.pk
    ]
    assert days[:3].tolist() == pytest.approx([3000.0, 276.0, 3000.0])
    assert days[-2] == pytest.approx(2000.0)
    assert np.isnan(days[-1])


def test_what_nobody_knows_between_is_told(meter: Meter):
    meter.bills.create(first=date(2026, 4, 1), last=date(2026, 4, 30), used=30)
    meter.bills.create(first=date(2026, 6, 1), last=date(2026, 6, 30), used=30)
    gap = spans_of([meter.pk])[meter.pk][1]
    assert gap == Span(at(5, 1), at(6, 1), None, "bill", NOTHING_KNOWN)
    days = daily_litres([meter.pk], first=date(2026, 5, 1), last=date(2026, 5, 31), timezone=TIMEZONE)
    assert np.isnan(days[meter.pk]).all()


def test_late_readings_a_roll_over_and_a_reset_in_one_season(meter: Meter):
    for day, value, reset in ((20, 12, False), (1, 960, False), (30, 4, True), (10, 980, False)):
        meter.readings.create(read_at=at(6, day), value=value, reset=reset)
    spans = spans_of([meter.pk])[meter.pk]
    assert [s.litres for s in spans] == [20_000.0, 32_000.0, None]
    assert spans[1].doubt == "taken to have started over at 1,000"
    assert "replaced or set back" in spans[2].doubt


def test_a_bill_counts_where_a_reset_left_readings_unknown(meter: Meter):
    meter.readings.create(read_at=at(6, 1), value=900)
    meter.readings.create(read_at=at(7, 1), value=3, reset=True)
    meter.bills.create(first=date(2026, 6, 1), last=date(2026, 6, 30), used=33)
    assert told(meter) == [(at(6, 1), at(7, 1), 33_000.0, "bill")]


def test_days_of_23_and_25_hours_get_their_hours(meter: Meter):
    meter.readings.create(read_at=datetime(2026, 3, 7, tzinfo=ZONE), value=0)
    meter.readings.create(read_at=datetime(2026, 3, 10, tzinfo=ZONE), value=71)  # 24 + 23 + 24 hours
    meter.readings.create(read_at=datetime(2026, 10, 31, tzinfo=ZONE), value=71)
    meter.readings.create(read_at=datetime(2026, 11, 3, tzinfo=ZONE), value=144)  # 24 + 25 + 24 hours
    spring = daily_litres([meter.pk], first=date(2026, 3, 7), last=date(2026, 3, 9), timezone=TIMEZONE)
    autumn = daily_litres([meter.pk], first=date(2026, 10, 31), last=date(2026, 11, 2), timezone=TIMEZONE)
    assert spring[meter.pk].tolist() == pytest.approx([24_000, 23_000, 24_000])
    assert autumn[meter.pk].tolist() == pytest.approx([24_000, 25_000, 24_000])
    first = datetime(2026, 11, 1, 7, tzinfo=UTC)  # midnight there; 25 hours follow
    for hour in range(25):
        meter.hours.create(begins_at=first + timedelta(hours=hour), used_l=1)
    autumn = daily_litres([meter.pk], first=date(2026, 11, 1), last=date(2026, 11, 1), timezone=TIMEZONE)
    assert autumn[meter.pk].tolist() == [25.0]


def test_a_day_read_on_two_bills_counts_once_and_more_is_told(meter: Meter):
    meter.bills.create(first=date(2026, 4, 10), last=date(2026, 5, 10), used=31)
    meter.bills.create(first=date(2026, 5, 10), last=date(2026, 6, 10), used=32)
    meter.bills.create(first=date(2026, 6, 6), last=date(2026, 7, 5), used=30)
    spans = spans_of([meter.pk])[meter.pk]
    assert [s.begin for s in spans] == [at(4, 10), at(5, 11), at(6, 11)]
    assert [s.doubt for s in spans] == ["", "", "shares 5 days with the bill before"]


def test_a_meter_of_which_nothing_is_known_has_no_spans_and_no_days(meter: Meter):
    other = Meter.objects.create(site=meter.site, name="Other", unit="gal")
    other.hours.create(begins_at=at(6, 1), used_l=5)
    assert spans_of([meter.pk]) == {meter.pk: []}
    days = daily_litres(
        [meter.pk, other.pk], first=date(2026, 6, 1), last=date(2026, 6, 2), timezone=TIMEZONE
    )
    assert {pk: np.isnan(d).tolist() for pk, d in days.items()} == {
        meter.pk: [True, True],
        other.pk: [True, True],  # an hour is no day
    }


def test_many_meters_ask_the_database_as_much_as_one(meter: Meter, django_assert_num_queries):
    meters = [Meter.objects.create(site=meter.site, name=f"M{n}", unit="kgal") for n in range(5)]
    for m in meters:
        m.readings.create(read_at=at(6, 1), value=1)
        m.readings.create(read_at=at(7, 1), value=2)
    for some in (meters[:1], meters):
        with django_assert_num_queries(4):
            assert len(spans_of([m.pk for m in some])) == len(some)
