"""Meters, readings and bills over REST, one by one and many at once."""

from datetime import UTC, datetime
from typing import Any

import pytest

from fleet.models import Meter, MeterHour, MeterReading
from tests.api.test_fleet_writing import fields, post, write
from tests.cast import TODAY, Cast, a_site, a_zone

pytestmark = pytest.mark.django_db
AT = "2026-07-06T06:00:00-07:00"


@pytest.fixture
def meter(cast: Cast) -> Meter:
    return Meter.objects.create(site=cast.site, name="Main", unit="kgal")


def many(api, who, meter: Meter, what: str, rows: Any, key: str = "") -> Any:
    api.force_authenticate(who)
    headers = {"Idempotency-Key": key} if key else {}
    return api.post(f"/api/v1/meters/{meter.pk}/{what}/", rows, format="json", headers=headers)


def test_the_office_sets_meters_up_and_others_do_not(api, cast: Cast, stranger):
    body = {"site": cast.site.pk, "name": "Gate", "unit": "ccf", "zones": [cast.zone.pk], "mixed": True}
    answer = post(api, cast.office, "meters", body)
    assert answer.status_code == 201, answer.content
    assert {name: answer.json()[name] for name in body} == body
    assert post(api, cast.technician, "meters", body).status_code == 403
    assert fields(post(api, stranger, "meters", body)) == {"site", "zones"}
    assert fields(post(api, cast.office, "meters", body)) == {"name"}
    elsewhere = a_zone(a_site(cast.client, "Else").controllers.create(name="C"))
    assert fields(post(api, cast.office, "meters", {**body, "name": "B", "zones": [elsewhere.pk]})) == {
        "zones"
    }
    assert not Meter.objects.filter(name="B").exists()


def test_the_unit_stays_once_there_are_readings_and_so_does_the_meter(api, cast: Cast, meter: Meter):
    address = f"/api/v1/meters/{meter.pk}/"
    assert write(api, cast.office, "patch", address, {"unit": "m3"}).json()["unit"] == "m3"
    reading = meter.readings.create(read_at=AT, value=5)
    assert fields(write(api, cast.office, "patch", address, {"unit": "gal"})) == {"unit"}
    assert write(api, cast.office, "delete", address, None).status_code == 409
    assert (
        write(api, cast.technician, "delete", f"/api/v1/meter-readings/{reading.pk}/", None).status_code
        == 204
    )
    assert write(api, cast.office, "delete", address, None).status_code == 204


def test_who_works_there_notes_readings_and_bills(api, cast: Cast, meter: Meter, stranger):
    reading = {"meter": meter.pk, "read_at": AT, "value": 48.5, "reset": False, "note": "Lid."}
    answer = post(api, cast.technician, "meter-readings", reading)
    assert answer.status_code == 201, answer.content
    assert (answer.json()["how"], answer.json()["by"]) == ("interface", cast.technician.pk)
    assert fields(post(api, cast.technician, "meter-readings", reading)) == {"read_at"}
    assert fields(post(api, stranger, "meter-readings", reading)) == {"meter"}
    edited = write(api, cast.office, "patch", answer["Location"], {"value": 49})
    assert edited.json()["value"] == 49
    assert fields(write(api, cast.office, "patch", answer["Location"], {"meter": 9})) == {"meter"}
    bill = {"meter": meter.pk, "first": "2026-05-12", "last": "2026-06-10", "used": 61.2, "charged": "412.80"}
    answer = post(api, cast.technician, "meter-bills", bill)
    assert {name: answer.json()[name] for name in bill} == bill
    assert write(api, cast.technician, "delete", answer["Location"], None).status_code == 204


@pytest.mark.parametrize(
    ("rows", "said", "wrong"),
    [
        ("meter-readings", {"value": -1}, "value"),
        ("meter-readings", {"value": "12"}, "value"),
        ("meter-readings", {"read_at": "2026-07-06T06:00:00"}, "read_at"),  # whose six o'clock?
        ("meter-readings", {"read_at": "2026-07-08T06:00:00-07:00"}, "read_at"),  # still to come
        ("meter-readings", {"read_at": "1850-07-08T06:00:00Z"}, "read_at"),
        ("meter-bills", {"first": "2026-06-11"}, "last"),
        ("meter-bills", {"last": "2026-08-01"}, "last"),
        ("meter-bills", {"first": "2024-06-11"}, "last"),
        ("meter-bills", {"used": -3}, "used"),
    ],
)
def test_what_cannot_be_is_named_by_its_field(api, cast: Cast, meter: Meter, rows, said, wrong):
    usual = {
        "meter-readings": {"meter": meter.pk, "read_at": AT, "value": 1},
        "meter-bills": {"meter": meter.pk, "first": "2026-05-12", "last": "2026-06-10", "used": 1},
    }
    assert fields(post(api, cast.office, rows, usual[rows] | said)) == {wrong}


def test_many_readings_are_answered_each_and_nothing_is_overwritten(api, cast: Cast, meter: Meter, stranger):
    meter.readings.create(read_at=AT, value=100)
    day = "2026-07-05T06:00:00-07:00"
    rows = [
        {"read_at": "2026-07-06T13:00:00Z", "value": 100},  # the moment that is stored, said otherwise
        {"read_at": AT, "value": 101},
        {"read_at": day, "value": 90, "reset": True},
        {"read_at": day, "value": 90},
    ]
    answer = many(api, cast.technician, meter, "readings", rows)
    assert answer.json() == {
        "stored": 1,
        "same": 1,
        "conflicting": 2,
        "rows": [
            {"row": 0, "answer": "same", "kept": 100.0},
            {"row": 1, "answer": "conflicting", "kept": 100.0},
            {"row": 2, "answer": "stored", "kept": 90.0},
            {"row": 3, "answer": "conflicting", "kept": 90.0},
        ],
    }
    assert list(meter.readings.order_by("read_at").values_list("value", flat=True)) == [90.0, 100.0]
    assert MeterReading.history.count() == 2  # the bulk way keeps what rows were, too
    assert many(api, stranger, meter, "readings", rows).status_code == 404
    assert many(api, cast.client_person, meter, "readings", rows).status_code == 404


def test_one_wrong_row_keeps_all_out_and_is_named(api, cast: Cast, meter: Meter):
    good = {"read_at": AT, "value": 1}
    answer = many(api, cast.office, meter, "readings", [good, {"read_at": AT, "value": -1}, {"value": 1}])
    assert fields(answer) == {"1.value", "2.read_at"}
    assert many(api, cast.office, meter, "readings", []).status_code == 400
    assert many(api, cast.office, meter, "readings", good).status_code == 400
    assert not meter.readings.exists()


def test_hours_are_counted_and_a_repeated_request_is_answered_as_the_first(api, cast: Cast, meter: Meter):
    rows = [{"begins_at": f"2026-07-05T{hour:02}:00:00Z", "used_l": 10.5 * hour} for hour in range(24)]
    first = many(api, cast.office, meter, "hours", rows, key="night-1")
    assert first.json() == {"stored": 24, "same": 0, "conflicting": 0, "conflicts": []}
    again = many(api, cast.office, meter, "hours", rows, key="night-1")
    assert (again["Idempotent-Replay"], again.json()) == ("true", first.json())
    fresh = {"begins_at": "2026-07-06T00:00:00Z", "used_l": 3, "minutes": 15}
    rows = [*rows[:3], rows[3] | {"used_l": 99}, rows[4] | {"minutes": 30}, fresh, fresh]
    answer = many(api, cast.office, meter, "hours", rows).json()
    assert {name: answer[name] for name in ("stored", "same", "conflicting")} == {
        "stored": 1, "same": 4, "conflicting": 2,
    }  # fmt: skip
    assert answer["conflicts"][0] == {"begins_at": "2026-07-05T03:00:00Z", "sent_l": 99.0, "kept_l": 31.5}
    hours = MeterHour.objects.filter(meter=meter)
    assert hours.count() == 25
    assert hours.get(begins_at=datetime(2026, 7, 5, 3, tzinfo=UTC)).used_l == 31.5
    assert hours.get(begins_at=datetime(2026, 7, 6, tzinfo=UTC)).minutes == 15


@pytest.mark.parametrize(
    "wrong", [{"used_l": -1}, {"minutes": 0}, {"minutes": 1441}, {"begins_at": str(TODAY)}]
)
def test_an_hour_that_cannot_be_keeps_all_out(api, cast: Cast, meter: Meter, wrong):
    row = {"begins_at": "2026-07-05T00:00:00Z", "used_l": 1}
    assert fields(many(api, cast.office, meter, "hours", [row, row | wrong])) == {f"1.{next(iter(wrong))}"}
    assert not meter.hours.exists()
