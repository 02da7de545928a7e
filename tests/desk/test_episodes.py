"""Nights not watered by need on their page: begun, set right, ended, refused by field."""

import json
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client

from fleet.models import ZoneEpisode
from tests.cast import TODAY, Cast

pytestmark = pytest.mark.django_db


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def said(**typed: str) -> dict[str, str]:
    return {"kind": "grow-in", "effective_from": TODAY.isoformat(), "effective_to": "2026-07-26"} | typed


def test_a_zone_grows_in_under_a_permit_with_short_runs(cast: Cast, technician: Client):
    address = f"/zones/{cast.zone.pk}/episodes/"
    typed = said(permit="W-118", permit_to="2026-07-20", runs_a_day="4", run_minutes="6")
    for _ in range(2):  # sent twice, begun once
        assert technician.post(address, typed).status_code == 302
    episode = ZoneEpisode.objects.get()
    assert (episode.by, episode.runs_a_day, episode.run_minutes) == (cast.technician, 4, 6)
    page = text(technician.get(address))
    assert (
        "is growing in to the night of Sun Jul 26 (permit W-118 to Mon Jul 20, which ends before it does)"
        in page
    )
    assert "Key in 4 runs a day of 6 min each, about every 6 h 00 min, in a program of its own." in page


def test_leaching_says_how_much_more(cast: Cast, technician: Client):
    typed = said(kind="leaching", water_ds_m="1", soil_ds_m="2")
    technician.post(f"/zones/{cast.zone.pk}/episodes/", typed)
    page = text(technician.get(f"/zones/{cast.zone.pk}/episodes/"))
    # FAO 29: 1 / (5 x 2 - 1) = 11 %; 1 / (1 - 0.111) = 1.125
    assert "11 % of the water has to run through below the roots" in page
    assert "(water 1 and soil 2 dS/m; FAO paper 29)" in page
    more = "put on 12 % more than plants need, 1.12 times the usual minutes"
    assert f"{more}, 0.12 in on top of each 1.00 in of need." in page


def test_it_is_set_right_and_ended(cast: Cast, technician: Client):
    began = TODAY - timedelta(days=4)
    episode = cast.zone.episodes.create(kind="off", effective_from=began)
    sheet = technician.get(f"/episodes/{episode.pk}/").context["sheet"]
    typed = json.loads(sheet.was) | {"was": sheet.was, "note": "Well is dry."}
    assert technician.post(f"/episodes/{episode.pk}/", typed).status_code == 302
    episode.refresh_from_db()
    assert episode.note == "Well is dry."
    stale = technician.post(f"/episodes/{episode.pk}/", typed | {"note": "Pump broke."})
    assert stale.status_code == 409
    for words in ("watered by need again from tonight on", "that was over already"):
        answer = technician.post(f"/episodes/{episode.pk}/end/", follow=True)
        assert words in text(answer)
    episode.refresh_from_db()
    assert episode.effective_to == TODAY - timedelta(days=1)


def test_what_has_not_begun_is_taken_away(cast: Cast, technician: Client):
    episode = cast.zone.episodes.create(kind="off", effective_from=TODAY)
    technician.post(f"/episodes/{episode.pk}/end/")
    assert not ZoneEpisode.objects.exists()
    assert technician.post(f"/episodes/{episode.pk}/end/").status_code == 404


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"effective_from": ""}, "This can&#x27;t be empty"),
        ({"effective_from": "tomorrow"}, "Type the date as year-month-day"),
        ({"effective_from": "2026-02-30"}, "Type the date as year-month-day"),
        ({"effective_from": "0001-01-01"}, "more than a year away"),
        ({"effective_to": "2026-07-01"}, "It ends before it begins"),
        ({"permit_hours_from": "6 o'clock"}, "Type the time as hour:minutes"),
        ({"kind": "asleep"}, "Pick one of those offered"),
        ({"runs_a_day": "4"}, "Say both"),
        ({"runs_a_day": "25", "run_minutes": "2"}, "1 to 24 runs a day"),
        ({"kind": "leaching"}, "Say the share to leach"),
        ({"kind": "leaching", "leaching_share": "90"}, "1 to 60 %"),
        ({"permit": "W" * 10_000}, "80 characters at the most"),
    ],
)
def test_what_can_not_be_is_told_by_its_field(
    cast: Cast, technician: Client, typed: dict[str, str], words: str
):
    answer = technician.post(f"/zones/{cast.zone.pk}/episodes/", said(note="Kept.") | typed)
    assert answer.status_code == 422
    assert words in text(answer)
    assert "Kept." in text(answer)
    assert not ZoneEpisode.objects.exists()


def test_another_stretch_in_its_place_is_refused(cast: Cast, technician: Client):
    cast.zone.episodes.create(kind="overseed", effective_from=date(2026, 7, 10))
    answer = technician.post(f"/zones/{cast.zone.pk}/episodes/", said())
    assert answer.status_code == 422
    assert "This zone is overseeding from 2026-07-10 on, without an end already." in text(answer)
