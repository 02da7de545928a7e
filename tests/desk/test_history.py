"""The history of a site: every sort of row in words, its order, its pages, its file, and who reads what."""

import csv
import io
import re
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext

from desk.spreadsheets import safe
from fleet.models import Client, Finding, SiteRain, SoilObservation, Visit, ZoneEpisode, ZoneTrim
from scheduling.models import Change, ChangeEvent, Program, Setting, Skip
from tests.cast import TODAY, Cast, a_cast, a_change, a_program

AT = datetime(2026, 7, 2, 15, 30, tzinfo=UTC)


def read(web: Browser, cast: Cast, **query: str) -> str:
    answer = web.get(f"/sites/{cast.site.pk}/history/", query)
    assert answer.status_code == 200
    text = re.sub(r"\s+", " ", answer.content.decode().replace("\xa0", " "))
    return text[text.index("<main") :]


def table(web: Browser, cast: Cast, **query: str) -> list[dict[str, str]]:
    answer = web.get(f"/sites/{cast.site.pk}/history.csv", query)
    assert answer["Content-Type"].startswith("text/csv")
    return list(csv.DictReader(io.StringIO(answer.getvalue().decode("utf-8-sig").replace("\xa0", " "))))


@pytest.fixture
def season(cast: Cast) -> Cast:
    """One row of every sort."""
    decided = a_change(
        cast.program, status="applied", decided=80, decided_by=cast.office, decided_at=AT, applied_at=AT,
        reason="Cooler than the base month.",
    )  # fmt: skip
    ChangeEvent.objects.create(
        change=decided, to_status="approved", by=cast.office, note="Wedding on Friday."
    )
    Setting.objects.create(
        program=cast.program, percent=80, effective_from=date(2026, 7, 2), how="change", change=decided
    )
    Setting.objects.create(program=cast.program, percent=110, effective_from=date(2026, 4, 1))
    Skip.objects.create(
        program=cast.program,
        effective_from=date(2026, 7, 4),
        effective_to=date(2026, 7, 5),
        reason="9 mm of rain.",
    )
    SoilObservation.objects.create(
        zone=cast.zone, date=date(2026, 6, 20), depletion_share=0.3, how="probe, moist", by=cast.technician
    )
    ZoneTrim.objects.create(
        zone=cast.zone, factor=1.1, reason="Windy corner.", effective_from=date(2026, 6, 21), by=cast.office
    )
    ZoneEpisode.objects.create(zone=cast.zone, kind="overseed", effective_from=date(2026, 5, 2), permit="P-7")
    SiteRain.objects.create(
        site=cast.site, date=date(2026, 6, 1), rain_mm=6.35, how="gauge", by=cast.technician
    )
    Visit.objects.create(site=cast.site, date=date(2026, 6, 20), done_at=AT, note="Dog in the yard.")
    Finding.objects.create(zone=cast.zone, found_on=date(2026, 6, 20), part="Cracked riser", lost_l_day=400)
    return cast


def test_every_sort_of_row_is_told_in_words_with_its_reason(season: Cast, owner: Browser):
    text = read(owner, season)
    for words in (
        "100 % to 80 %: entered (proposed 85 %)",
        "Cooler than the base month. Note: Wedding on Friday.",
        "Office of Larkspur Irrigation, Thu Jul 2 8:30 am",
        "runs at 80 % from this night on",
        "runs at 110 % from this night on",
        "Found at the controller.",
        "no water, nights of Sat Jul 4 to Sun Jul 5",
        "9 mm of rain.",
        "waters every day, starts 4:30 am",
        "30 % of the water plants can use was gone",
        "Found by probe, moist.",
        "counted at 110 % of its usual need",
        "Windy corner.",
        "overseeding from this day",
        "Permit P-7.",
        "0.25 in of rain counted here",
        "Dog in the yard.",
        "Cracked riser (open)",
        "the client may read its own sites from this day on",
    ):
        assert words in text, words


def test_days_are_newest_first_in_the_sites_own_time(season: Cast, owner: Browser):
    days = re.findall(r'<h2 id="day-([\d-]+)"', read(owner, season))
    assert days == sorted(days, reverse=True)
    Change.objects.filter(reason__startswith="Cooler than").update(
        decided_at=datetime(2026, 7, 3, 5, 0, tzinfo=UTC)  # still the evening of the 2nd there
    )
    rows = table(owner, season, kind="decisions")
    assert [row["Date"] for row in rows] == ["2026-07-02"]


def test_a_pending_change_is_no_history(season: Cast, owner: Browser):
    assert "Cooler week ahead." not in read(owner, season)


def test_an_automatic_approval_says_so(season: Cast, owner: Browser):
    Change.objects.filter(reason__startswith="Cooler than").update(automatic=True, decided_by=None)
    assert "approved by policy" in read(owner, season, kind="decisions")


def test_a_declined_change_to_nothing_is_told_with_its_value(season: Cast, owner: Browser):
    a_change(cast_program(season, "B"), status="declined", proposed=0, decided_at=AT, decided_by=season.owner)
    assert "100 % to 0 %: declined" in read(owner, season)


def cast_program(cast: Cast, letter: str) -> Program:
    return a_program(cast.controller, letter)


def test_it_is_narrowed_by_kind_by_program_by_zone_and_by_days(season: Cast, owner: Browser):
    other = cast_program(season, "B")
    Setting.objects.create(program=other, percent=55, effective_from=TODAY)
    assert {row["Kind"] for row in table(owner, season, kind="soil")} == {"Soil observations"}
    part = f"{season.controller.pk}-A"
    assert all("Program A" in row["Program or zone"] for row in table(owner, season, part=part))
    assert len(table(owner, season, part=part)) == 5
    zone = table(owner, season, part=f"zone-{season.zone.pk}")
    assert {row["Kind"] for row in zone} == {
        "Soil observations", "Corrections of zones", "Zones not watered by need", "Findings",
    }  # fmt: skip
    june = table(owner, season, **{"from": "2026-06-01", "to": "2026-06-30"})
    assert {row["Date"][:7] for row in june} == {"2026-06"}
    assert len(june) == 5


@pytest.mark.parametrize(
    ("query", "told"),
    [
        ({"from": "yesterday"}, "From: Write a date such as"),
        ({"to": "2026-13-40"}, "To: Write a date such as"),
        ({"from": "\0" + "9" * 10_000}, "From: Write a date such as"),
        ({"from": "2026-07-02", "to": "2026-07-01"}, "This day comes before"),
        ({"kind": "🌱"}, "runs at 80 %"),
        ({"after": "nonsense"}, "runs at 80 %"),
        ({"after": "2026-07-01.x.\0"}, "runs at 80 %"),
        ({"after": "2026-07-01.²." + "9" * 900}, "runs at 80 %"),
        ({"from": "0001-01-01", "to": "9999-12-31"}, "runs at 80 %"),
        ({"after": "0001-01-01.0.1"}, "There is nothing older."),
        ({"from": "2027-01-01"}, "Nothing of this sort happened"),
    ],
)
def test_whatever_is_asked_is_answered_kindly(season: Cast, owner: Browser, query: Any, told: str):
    assert told in read(owner, season, **query)
    assert owner.get(f"/sites/{season.site.pk}/history.csv", query).status_code == 200


def test_another_sites_program_or_zone_does_not_exist_here(season: Cast, owner: Browser):
    other = a_cast("Quillback Gardens", "quillback.test")
    for part in (f"zone-{other.zone.pk}", f"{other.controller.pk}-A", "zone-x", "🌱-", "-"):
        assert owner.get(f"/sites/{season.site.pk}/history/", {"part": part}).status_code == 404


def test_pages_follow_one_another_without_a_gap_or_a_repeat(season: Cast, owner: Browser):
    for n in range(150):
        Skip.objects.create(
            program=season.program,
            effective_from=TODAY - timedelta(days=n // 3),
            effective_to=TODAY - timedelta(days=n // 3),
            reason=f"Reason {n:03d}.",
        )
    whole = [row["Why"] for row in table(owner, season)]
    assert len(whole) == 162
    seen: list[str] = []
    address: str | None = f"/sites/{season.site.pk}/history/"
    while address:
        text = re.sub(r"\s+", " ", owner.get(address).content.decode())
        seen += re.findall(r'<span class="said">(.*?)</span>', text)
        older = re.search(r'<a href="([^"]*)" rel="next">', text)
        address = older[1].replace("&amp;", "&") if older else None
    assert seen == whole


def test_a_site_nothing_happened_at_says_so(cast: Cast, owner: Browser):
    Program.objects.all().delete()
    Client.objects.update(access_from=None)
    assert "Nothing has happened here yet" in read(owner, cast)


def test_it_is_linked_from_the_site_and_the_client(cast: Cast, owner: Browser):
    link = f'href="/sites/{cast.site.pk}/history/"'
    assert link in owner.get(f"/sites/{cast.site.pk}/").content.decode()
    assert link in owner.get(f"/clients/{cast.client.pk}/").content.decode()


class TestForTheClient:
    def test_a_client_reads_facts_and_never_names_notes_or_decisions(self, season: Cast, signed_in):
        web = signed_in(season.client_person)
        text = read(web, season)
        assert "your contractor" in text
        assert "runs at 80 % from this night on" in text
        assert "9 mm of rain." in text
        for kept_back in (
            "Wedding", "Windy corner", "Dog in the yard", "Cracked riser", "Office of", "Technician of",
            "/changes/", "Cooler week", "proposed", "Decisions", "Findings", "$",
        ):  # fmt: skip
            assert kept_back not in text, kept_back
            assert kept_back not in str(table(web, season)), kept_back

    def test_until_access_is_open_there_is_no_history(self, season: Cast, signed_in):
        Client.objects.filter(pk=season.client.pk).update(access_from=TODAY + timedelta(days=1))
        web = signed_in(season.client_person)
        assert web.get(f"/sites/{season.site.pk}/history/").status_code == 404
        assert web.get(f"/sites/{season.site.pk}/history.csv").status_code == 404


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "  =1", "\n=1"])
def test_a_text_no_spreadsheet_may_run_is_forced_to_text(text: str):
    assert safe(text) == f"'{text}"


def test_other_cells_stay_as_they_are():
    assert [safe(cell) for cell in ("Rain.", -5, 0.5, None, "a=b")] == ["Rain.", -5, 0.5, None, "a=b"]


def test_a_reason_that_looks_like_a_formula_is_text_in_the_file(season: Cast, owner: Browser):
    Skip.objects.update(reason='=HYPERLINK("http://x.test")')
    assert table(owner, season, kind="skips")[0]["Why"].startswith("'=")


def test_it_takes_as_many_queries_for_many_rows_as_for_few(season: Cast, owner: Browser):
    with CaptureQueriesContext(connection) as few:
        read(owner, season)
    for n in range(40):
        Skip.objects.create(
            program=season.program,
            effective_from=date(2026, 5, 9),
            effective_to=date(2026, 5, 9),
            reason=f"Reason {n}.",
        )
        Finding.objects.create(zone=season.zone, found_on=date(2026, 5, 9), part=f"Riser {n}")
        a_change(season.program, status="declined", decided_at=AT, decided_by=season.owner)
    with CaptureQueriesContext(connection) as many:
        read(owner, season)
    assert len(many) == len(few)
    assert len(many) <= 27
