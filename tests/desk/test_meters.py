"""Pages of water meters: set up, read on the spot, doubts asked, bills, files taken whole or not at all."""

import io
import json
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from openpyxl import Workbook

from fleet.models import Meter, MeterBill, MeterFile, MeterReading
from tests.cast import TIMEZONE, TODAY, Cast

pytestmark = pytest.mark.django_db
ZONE = ZoneInfo(TIMEZONE)


@pytest.fixture
def meter(cast: Cast) -> Meter:
    return Meter.objects.create(site=cast.site, name="Main", unit="kgal", serial_number="A-17")


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def at(day: date, hour: int = 8) -> datetime:
    return datetime(day.year, day.month, day.day, hour, tzinfo=ZONE)


def reading(value: str, **typed: str) -> dict[str, str]:
    return {"value": value, "read_on": TODAY.isoformat(), "read_time": "08:00"} | typed


def brought(browser: Client, meter: Meter, content: str | bytes, name: str = "use.csv") -> Any:
    content = content.encode() if isinstance(content, str) else content
    file = SimpleUploadedFile(name, content)
    return browser.post(f"/meters/{meter.pk}/table/", {"do": "read", "file": file}, follow=True)


def taken(browser: Client, meter: Meter, **said: str) -> Any:
    return browser.post(f"/meters/{meter.pk}/table/", {"do": "take", "head": "yes"} | said, follow=True)


def test_the_office_sets_a_meter_up_and_a_technician_is_not_asked(
    cast: Cast, owner: Client, technician: Client
):
    page = f"/sites/{cast.site.pk}/meters/"
    assert "Set a meter up" in text(owner.get(page))
    assert "Set a meter up" not in text(technician.get(page))
    said = {
        "name": "Gate",
        "unit": "ccf",
        "rolls_over_at": "1,000,000",
        "mixed": "yes",
        "zones": [cast.zone.pk],
    }
    assert technician.post(page, said).status_code == 403
    answer = owner.post(page, said, follow=True)
    row = Meter.objects.get()
    assert (row.unit, row.rolls_over_at, row.mixed, list(row.zones.all())) == ("ccf", 1e6, True, [cast.zone])
    assert f"Counts zone {cast.zone}; indoor use too." in text(answer)
    again = owner.post(page, said | {"name": "Gate"})
    assert again.status_code == 422
    assert set(again.context["sheet"].errors) == {"name"}


def test_a_meter_is_edited_its_unit_stays_and_a_bare_one_goes(cast: Cast, meter: Meter, owner: Client):
    page = f"/meters/{meter.pk}/edit/"
    sheet = owner.get(page).context["sheet"]
    typed = {name: value for name, value in json.loads(sheet.was).items() if value} | {"was": sheet.was}
    meter.readings.create(read_at=at(TODAY), value=5)
    assert set(owner.post(page, typed | {"unit": "gal"}).context["sheet"].errors) == {"unit"}
    assert owner.post(page, typed | {"note": "Under the lid."}).status_code == 302
    meter.refresh_from_db()
    assert (meter.unit, meter.note) == ("kgal", "Under the lid.")
    assert "with this meter" in text(owner.post(f"/meters/{meter.pk}/remove/", follow=True))
    meter.readings.all().delete()
    owner.post(f"/meters/{meter.pk}/remove/")
    assert not Meter.objects.exists()


def test_a_technician_reads_it_and_sees_what_was_used_since(cast: Cast, meter: Meter, technician: Client):
    meter.readings.create(read_at=at(TODAY - timedelta(days=10)), value=100, by=cast.owner)
    page = f"/meters/{meter.pk}/"
    shown = text(technician.get(page))
    assert "Last time <b>100 kgal</b>" in shown and str(cast.owner) in shown
    live = text(technician.post(f"{page}live/", reading("101.5")))
    assert "1,500 gal used since Fri Jun 26 8:00 am, 150 gal a day." in live
    answer = technician.post(page, reading("1,101.5"), follow=True)
    row = MeterReading.objects.latest("read_at")
    assert (row.value, row.how, row.by, row.read_at) == (1101.5, "hand", cast.technician, at(TODAY))
    assert "Kept." in text(answer)
    technician.post(page, reading("1,101.5"))  # pressed twice
    assert meter.readings.count() == 2


@pytest.mark.parametrize(
    ("typed", "other", "asked"),
    [
        (reading("90"), "91", "It is lower than the 100 kgal"),
        (reading("900"), "901", "a day at the most"),
        (
            reading("100.5", read_on=str(TODAY - timedelta(days=11))),
            "101",
            "It is higher than the later 100 kgal",
        ),
    ],
)
def test_what_is_not_plausible_is_asked_and_nothing_is_lost(meter, technician, typed, other, asked):
    meter.readings.create(read_at=at(TODAY - timedelta(days=20)), value=80)
    meter.readings.create(read_at=at(TODAY - timedelta(days=10)), value=100)
    page = f"/meters/{meter.pk}/"
    answer = technician.post(page, typed | {"note": "By torch."})
    assert answer.status_code == 422
    shown = text(answer)
    assert asked in shown and f'value="{typed["value"]}"' in shown and "By torch." in shown
    assert meter.readings.count() == 2
    sure = answer.context["sure"]
    assert technician.post(page, typed | {"value": other, "sure": sure}).status_code == 422
    assert meter.readings.count() == 2
    assert technician.post(page, typed | {"sure": sure}).status_code == 302
    assert meter.readings.filter(value=float(typed["value"])).exists()


def test_a_replaced_meter_is_no_doubt(meter: Meter, technician: Client):
    meter.readings.create(read_at=at(TODAY - timedelta(days=10)), value=100)
    answer = technician.post(f"/meters/{meter.pk}/", reading("3", reset="yes"), follow=True)
    assert "isn't known" in answer.content.decode().replace("&#x27;", "'")
    assert "counts anew" in text(answer) and "replaced or set back" in text(answer)


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        (reading(""), "value"),
        (reading("-4"), "value"),
        (reading("12 00"), "value"),
        (reading("1", read_on=str(TODAY + timedelta(days=2))), ""),
        (reading("1", read_time="25:00"), "read_time"),
        (reading("1", read_on=""), "read_on"),
    ],
)
def test_what_cannot_be_read_is_told_by_its_field(meter: Meter, technician: Client, typed, field):
    answer = technician.post(f"/meters/{meter.pk}/", typed)
    assert answer.status_code == 422
    assert set(answer.context["sheet"].errors) == {field or "read_time"}
    assert not meter.readings.exists()


def test_a_reading_is_set_right_or_taken_away(cast: Cast, meter: Meter, technician: Client):
    row = meter.readings.create(read_at=at(TODAY), value=100)
    page = f"/meter-readings/{row.pk}/"
    sheet = technician.get(page).context["sheet"]
    assert technician.post(page, {"value": "110", "was": sheet.was}).status_code == 302
    row.refresh_from_db()
    assert (row.value, row.history.count()) == (110, 2)
    technician.post(f"{page}remove/")
    assert not meter.readings.exists()


def test_bills_are_noted_set_right_and_taken_away(meter: Meter, owner: Client):
    page = f"/meters/{meter.pk}/bills/"
    said = {"first": "2026-05-12", "last": "2026-06-10", "used": "61.2", "charged": "$1,412.80"}
    answer = owner.post(page, said, follow=True)
    row = MeterBill.objects.get()
    assert (row.used, str(row.charged)) == (61.2, "1412.80")
    assert "61.2 kgal" in text(answer)
    assert set(owner.post(page, said).context["sheet"].errors) == {"first"}
    assert set(owner.post(page, said | {"first": "2026-06-11"}).context["sheet"].errors) == {"last"}
    sheet = owner.get(f"/meter-bills/{row.pk}/").context["sheet"]
    owner.post(f"/meter-bills/{row.pk}/", said | {"used": "62", "was": sheet.was})
    row.refresh_from_db()
    assert row.used == 62
    owner.post(f"/meter-bills/{row.pk}/remove/")
    assert not MeterBill.objects.exists()


def test_a_file_of_readings_is_seen_before_it_is_taken(meter: Meter, cast: Cast, technician: Client):
    meter.readings.create(read_at=at(TODAY - timedelta(days=3), 12), value=41)
    meter.readings.create(read_at=at(TODAY - timedelta(days=2), 12), value=42)
    rows = "\n".join(f'{TODAY - timedelta(days=n):%m/%d/%Y},"{(45 - n) * 1000:,}"' for n in (1, 2, 3))
    seen = brought(technician, meter, f"Date,Reading (gallons)\n{rows}\n")
    assert meter.readings.count() == 2  # nothing yet
    counts = seen.context["counts"]
    assert (counts.stored, counts.same, counts.conflicting) == (1, 0, 2)
    assert seen.context["said"].unit == "gal"
    assert "Row 2: 43 kgal, 42 kgal is stored" in text(seen)
    answer = taken(technician, meter)
    assert "1 row stored, 2 differ from what is stored, which was kept." in text(answer)
    assert sorted(meter.readings.values_list("value", "how")) == [(41, "hand"), (42, "hand"), (44, "file")]
    assert meter.readings.get(value=44).read_at == at(TODAY - timedelta(days=1), 12)
    assert not MeterFile.objects.exists()
    brought(technician, meter, f"Date,Reading (gallons)\n{rows}\n")
    assert "1 were there already, 2 written over" in text(taken(technician, meter, differ="instead"))
    assert meter.readings.get(value=43).history.count() == 2


def test_one_wrong_row_keeps_all_out_and_what_columns_mean_can_be_corrected(meter: Meter, owner: Client):
    seen = brought(owner, meter, "When seen,Number\n2026-07-01 09:00,10\n2026-07-02 09:00,much\n")
    assert "Say which column has" in text(seen)
    page = f"/meters/{meter.pk}/table/"
    said = {"head": "yes", "column-0": "when", "column-1": "value", "unit": "ccf"}
    seen = owner.post(page, said | {"do": "match"}, follow=True)
    assert "1 row to mend" in text(seen) and "Type a number alone" in text(seen)
    refused = owner.post(page, said | {"do": "take"})
    assert refused.status_code == 422
    assert not meter.readings.exists()
    owner.post(page, {"do": "forget"})
    assert not MeterFile.objects.exists()


def test_bills_need_no_first_day_where_one_follows_another(meter: Meter, owner: Client):
    book = Workbook()
    book.active.append(["Account", "Bill start", "Read date", "Usage CCF", "Charges"])
    book.active.append(["X", date(2026, 3, 10), date(2026, 4, 8), 12, 88.1])
    book.active.append(["X", None, date(2026, 5, 9), 31, 190])
    content = io.BytesIO()
    book.save(content)
    seen = brought(owner, meter, content.getvalue(), "bills.xlsx")
    assert seen.context["said"].kind == "bills" and not seen.context["wrong"]
    assert "taken to begin the day after the one above" in text(seen)
    taken(owner, meter)
    rows = list(meter.bills.order_by("first").values_list("first", "last", "used", "charged"))
    assert rows[1][:2] == (date(2026, 4, 9), date(2026, 5, 9))
    assert rows[0][2] == pytest.approx(12 * 0.7480519480519481)  # 100 ft3 are 748.05 gallons: 231 in3 each
    assert str(rows[1][3]) == "190.00"


def test_hours_follow_the_clock_on_the_wall_through_both_changes(meter: Meter, owner: Client):
    autumn = [datetime(2025, 11, 2, hour) for hour in (0, 1, 1, 2)]
    rows = "\n".join(f"{when:%m/%d/%Y %I:%M %p},{n}" for n, when in enumerate(autumn, start=1))
    seen = brought(owner, meter, f"Start time,Usage (gal)\n{rows}\n")
    assert seen.context["said"].kind == "hours"
    assert "Each interval is taken to last an hour." in text(seen)
    taken(owner, meter)
    kept = list(meter.hours.order_by("begins_at").values_list("begins_at", "minutes", "used_l"))
    assert [begins_at for begins_at, _, _ in kept] == [
        datetime(2025, 11, 2, hour, tzinfo=UTC) for hour in (7, 8, 9, 10)
    ]
    assert kept[1][1] == 60
    assert kept[1][2] == pytest.approx(2 * 3.785411784)
    spring = "Start time,Usage (gal)\n03/08/2026 01:00,1\n03/08/2026 02:00,1\n03/08/2026 03:00,1\n"
    seen = brought(owner, meter, spring)
    assert "Clocks skip 02:00 on that day." in text(seen)
    page = f"/meters/{meter.pk}/table/"
    seen = owner.post(page, {"do": "match", "head": "yes", "clock": "standard", "ends": "end"}, follow=True)
    assert not seen.context["wrong"]
    taken(owner, meter, clock="standard", ends="end")
    begins = (
        meter.hours.filter(begins_at__year=2026).order_by("begins_at").values_list("begins_at", flat=True)
    )
    assert list(begins) == [datetime(2026, 3, 8, hour, tzinfo=UTC) for hour in (8, 9, 10)]


def test_a_column_names_the_meter_among_the_companys_own(meter: Meter, owner: Client, stranger):
    other = Meter.objects.create(site=meter.site, name="Second", unit="m3", serial_number="B-2")
    rows = "Meter,Date,Reading (m3)\nA17,2026-07-01,1\nb-2,2026-07-01,2\n"
    taken_by = brought(owner, meter, rows)
    assert not taken_by.context["wrong"]
    taken(owner, meter)
    assert other.readings.get().value == 2
    assert meter.readings.get().value == pytest.approx(0.2641720523581484)  # 1000 / 3785.411784
    seen = brought(owner, meter, rows.replace("b-2", "C-9"))
    assert "There is no meter “C-9”." in text(seen)


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\x00\x01\x02",
        b"PK\x03\x04broken",
        "Date;Reading\n🌱;=1+1\n".encode(),
        b"\xff\xfe\x00",
        b"," * 90,
    ],
)
def test_nonsense_in_a_file_is_told_and_stores_nothing(meter: Meter, owner: Client, content):
    answer = brought(owner, meter, content)
    assert answer.status_code in (200, 422)
    assert not meter.readings.exists()
