"""After a night the meters are looked at: what nothing explains is kept once, and put aside with a reason."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from common.errors import NotAllowed, Refused
from fleet.models import Meter, MeterHour, MeterReading, Site
from reports.models import UseAlert
from reports.selectors.use import site_months, site_use
from reports.services.look_at_use import dismiss_alert, look_at_use, show_alert_again
from scheduling.models import Skip
from scheduling.services.nightly import run_night
from tests.cast import person
from tests.night.garden import ON, TIMEZONE, Garden, garden, weather

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
ZONE = ZoneInfo(TIMEZONE)
NIGHT_L = 1_600.0  # 40 minutes at 12 mm/h on 200 m2
DAYS = 20


@pytest.fixture
def place(settings) -> Garden:
    """A lawn watered every morning at three, with a soak: over by four."""
    settings.AS_OF = ON
    settings.WEATHER_SOURCE = "invented"
    made = garden(days="daily", minutes=40.0)
    weather(made.cell)
    return made


def hours(place: Garden, *, night_l: float = NIGHT_L, **extra: float) -> Meter:
    """Store hours of a meter: each morning's water, and litres more in an hour of some days (``d3h14``)."""
    meter = Meter.objects.create(site=place.site, name="Street", unit="l")
    rows = {}
    for n in range(DAYS):
        midnight = datetime.combine(ON - (DAYS - n) * DAY, datetime.min.time(), tzinfo=ZONE)
        for hour in range(24):
            rows[n, hour] = (midnight + timedelta(hours=hour), night_l if hour == 3 else 0.0)
    for name, litres in extra.items():
        n, hour = (int(part) for part in name.removeprefix("d").split("h"))
        rows[DAYS - n, hour] = rows[DAYS - n, hour][0], rows[DAYS - n, hour][1] + litres
    MeterHour.objects.bulk_create(
        MeterHour(meter=meter, begins_at=at, used_l=litres) for at, litres in rows.values()
    )
    return meter


def look(days_later: int = 0) -> int:
    return look_at_use(on=ON + days_later * DAY, timezone=TIMEZONE)


def test_clean_hours_raise_nothing(place: Garden) -> None:
    hours(place)
    assert look() == 0
    assert not UseAlert.objects.exists()


def test_water_at_noon_is_told_once_with_its_evidence_and_goes_on_as_one(place: Garden) -> None:
    meter = hours(place, d3h12=400.0, d2h13=300.0)
    assert look() == 1
    row = UseAlert.objects.get()
    assert (row.kind, row.first, row.last, row.litres) == ("idle", ON - 3 * DAY, ON - 2 * DAY, 700.0)
    assert row.evidence["days"][0] == {
        "day": (ON - 3 * DAY).isoformat(), "used_l": 2_000.0, "due_l": 1_600.0, "idle_l": 400.0,
    }  # fmt: skip
    assert look() == 0
    noon = datetime.combine(ON - DAY, datetime.min.time(), tzinfo=ZONE) + timedelta(hours=12)
    MeterHour.objects.filter(meter=meter, begins_at=noon).update(used_l=500.0)
    assert look() == 0
    row.refresh_from_db()
    assert (row.last, row.litres, len(row.evidence["days"])) == (ON - DAY, 1_200.0, 3)


def test_a_night_that_was_skipped_should_have_been_dry(place: Garden) -> None:
    hours(place)
    Skip.objects.create(
        program=place.program, effective_from=ON - 4 * DAY, effective_to=ON - 4 * DAY, reason="Rain."
    )
    assert look() == 1
    row = UseAlert.objects.get()
    assert (row.kind, row.first, row.litres) == ("idle", ON - 3 * DAY, NIGHT_L)


def test_a_closed_site_should_be_dry(place: Garden) -> None:
    hours(place)
    Site.objects.update(season=Site.Season.CLOSED)
    assert look() == 1
    assert UseAlert.objects.get().litres == 14 * NIGHT_L


def test_a_zone_that_takes_half_as_much_again_is_told_with_its_nights(place: Garden) -> None:
    hours(place, night_l=1.5 * NIGHT_L)
    assert look() == 1
    row = UseAlert.objects.get()
    assert (row.kind, row.zone) == ("flow", place.zones[0])
    assert row.evidence == {"ratio": 1.5, "nights": 14, "tested": False}


def test_no_alert_where_the_meter_serves_indoors_or_a_zone_is_watered_by_other_hands(place: Garden) -> None:
    meter = hours(place, d3h12=400.0)
    place.zones[0].episodes.create(kind="hand-watered", effective_from=ON - 5 * DAY)
    assert look() == 0
    place.zones[0].episodes.all().delete()
    Meter.objects.filter(pk=meter.pk).update(mixed=True)
    assert look() == 0
    Meter.objects.filter(pk=meter.pk).update(mixed=False)
    assert look() == 1


def test_readings_that_no_program_explains_are_told(place: Garden) -> None:
    meter = Meter.objects.create(site=place.site, name="Street", unit="l")
    for back, value in ((21, 0), (14, 7 * NIGHT_L), (7, 14 * NIGHT_L), (0, 14 * NIGHT_L + 14 * NIGHT_L)):
        at = datetime.combine(ON - back * DAY, datetime.min.time(), tzinfo=ZONE)
        MeterReading.objects.create(meter=meter, read_at=at, value=value)
    assert look() == 1
    row = UseAlert.objects.get()
    assert (row.kind, row.first, row.last) == ("beyond", ON - 7 * DAY, ON - DAY)
    assert row.litres == pytest.approx(7 * NIGHT_L)


def test_put_aside_with_a_reason_it_stays_so_while_it_goes_on(place: Garden) -> None:
    hours(place, d3h12=400.0)
    look()
    row = UseAlert.objects.get()
    with pytest.raises(Refused):
        dismiss_alert(alert=row, by=place.owner, why="  ")
    with pytest.raises(NotAllowed):
        dismiss_alert(alert=row, by=person("who@elsewhere.test"), why="Mine.")
    dismiss_alert(alert=row, by=place.owner, why="Pool filled.")
    assert look(1) == 0
    row.refresh_from_db()
    assert (row.dismissed_why, row.dismissed_by) == ("Pool filled.", place.owner)
    show_alert_again(alert=row, by=place.owner)
    row.refresh_from_db()
    assert row.dismissed_at is None


def test_the_night_looks_and_a_fault_there_stops_no_night(place: Garden, monkeypatch) -> None:
    hours(place, d3h12=400.0)
    run, _ = run_night(on=ON, timezone=TIMEZONE)
    assert run.state == "done" or run.finished_at
    assert UseAlert.objects.count() == 1
    UseAlert.objects.all().delete()

    def broken(*args, **kwargs):
        raise RuntimeError("no")

    monkeypatch.setattr("reports.services.look_at_use._by_hour", broken)
    run_night(on=ON, timezone=TIMEZONE)
    assert not UseAlert.objects.exists()


def test_estimated_stands_beside_metered_and_unknown_days_are_counted(place: Garden) -> None:
    week = ON - 7 * DAY, ON - DAY
    assert site_use(place.site, *week, ON).metered_l is None
    meter = hours(place)
    told = site_use(place.site, *week, ON)
    assert [told.estimated_l, told.metered_l] == pytest.approx([7 * NIGHT_L, 7 * NIGHT_L])
    assert (told.known_days, told.days, told.whole) == (7, 7, True)
    MeterHour.objects.filter(meter=meter, begins_at__gte=datetime(2026, 7, 12, tzinfo=ZONE)).delete()
    told = site_use(place.site, *week, ON + 5 * DAY)
    assert (told.known_days, told.days, told.whole) == (5, 7, False)
    months = site_months(place.site, months=3, on=ON)
    assert [one.first for one in months] == [date(2026, 7, 1), date(2026, 6, 1), date(2026, 5, 1)]
    assert [one.metered_l is None for one in months] == [False, False, True]
    assert len(site_months(place.site, months=13, on=ON)) == 3  # nothing is known before May
    assert site_use(place.site, date(2025, 7, 1), date(2025, 7, 31), ON).estimated_l is None
