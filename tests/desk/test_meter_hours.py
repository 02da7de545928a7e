"""``manage.py meter_hours``: all of a file or nothing, sent again without harm."""

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from fleet.models import Meter
from tests.cast import Cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def meter(cast: Cast) -> Meter:
    return Meter.objects.create(site=cast.site, name="Main", unit="gal")


def sent(cast: Cast, meter: Meter, file: Path, text: str, capsys, **options) -> dict:
    file.write_text(text)
    usual = {"meter": meter.pk, "by": cast.office.email.upper(), "json": True}
    call_command("meter_hours", str(file), **usual | options)
    return json.loads(capsys.readouterr().out)


def test_a_file_sent_again_stores_nothing_twice_and_overwrites_nothing(cast: Cast, meter, tmp_path, capsys):
    file = tmp_path / "use.csv"
    text = "Time,Gallons\n2026-07-01T00:00:00-07:00,10\n07/01/2026 1:00 AM,20\n"
    first = sent(cast, meter, file, text, capsys)
    assert first == {"stored": 2, "same": 0, "conflicting": 0, "conflicts": []}
    assert list(meter.hours.order_by("begins_at").values_list("begins_at", "minutes", "used_l")) == [
        (datetime(2026, 7, 1, 7, tzinfo=UTC), 60, 37.85411784),
        (datetime(2026, 7, 1, 8, tzinfo=UTC), 60, 75.70823568),
    ]
    again = sent(cast, meter, file, text.replace("AM,20", "AM,21") + "2026-07-01 02:00,30\n", capsys)
    assert [again[name] for name in ("stored", "same", "conflicting")] == [1, 1, 1]
    assert again["conflicts"][0]["kept_l"] == 75.70823568


def test_date_and_time_may_stand_apart_and_ends_be_named(cast: Cast, meter, tmp_path, capsys):
    text = "Date,Time,Usage (m3)\n01/07/2026,00:15,1\n"
    options = {"order": "dmy", "ends": "end", "minutes": 15, "unit": "m3"}
    assert sent(cast, meter, tmp_path / "use.csv", text, capsys, **options)["stored"] == 1
    hour = meter.hours.get()
    assert (hour.begins_at, hour.minutes, hour.used_l) == (datetime(2026, 7, 1, 7, tzinfo=UTC), 15, 1000.0)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Time,Gallons\n2026-07-01 00:00,1\n2026-07-01 01:00,much\n", "Line 3: Type a number alone"),
        ("Time,Gallons\n2026-07-01 00:00,1\n2026-07-01 01:00\n", "Line 3 has too few columns"),
        ("Time,Gallons\n2026-07-01 00:00,1\n99/99/2026,4\n", "Line 3: “99/99/2026” is no date"),
        ('Time,Gallons\n2026-07-01 00:00,"' + "1\n" * 70_000, "Line .* can't be read as CSV"),
        ("Colour,Shape\nred,round\n", "The head must name"),
        ("", "The head must name"),
    ],
)
def test_one_line_that_cannot_be_keeps_all_out(cast: Cast, meter, tmp_path, capsys, text, told):
    with pytest.raises(CommandError, match=f"Nothing was stored. {told}"):
        sent(cast, meter, tmp_path / "use.csv", text, capsys)
    assert not meter.hours.exists()


def test_only_people_of_the_company_bring_files(cast: Cast, meter, stranger, tmp_path, capsys):
    with pytest.raises(CommandError, match="Nothing was stored"):
        sent(cast, meter, tmp_path / "u.csv", "Time,Gallons\n2026-07-01 00:00,1\n", capsys, by=stranger.email)
    with pytest.raises(CommandError, match="nobody with this address"):
        sent(cast, meter, tmp_path / "u.csv", "", capsys, by="nobody@larkspur.test")
