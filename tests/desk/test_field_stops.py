"""A stop on the field sheet: last hours, findings, visits, the way there, and who sees what."""

from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from desk import dates
from fleet.models import Finding, Membership, Site, SiteRain, SoilObservation, User, Visit, ZoneTrim
from scheduling.models import Change
from scheduling.services.decisions import approve
from tests.cast import TIMEZONE, TODAY, Cast, a_change, a_program, a_skip, a_zone

pytestmark = pytest.mark.django_db
SignedIn = Callable[[User], Client]
HERE = ZoneInfo(TIMEZONE)


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def an_approved_skip(cast: Cast, starts: list[str], *, night: date = TODAY) -> Change:
    program = a_program(cast.controller, "B", starts=starts, effective=night - timedelta(days=30))
    skip = a_skip(program, effective_from=night, effective_to=night)
    return approve(change=skip, by=cast.office)


@pytest.mark.parametrize(
    ("starts", "words"),
    [(["21:40"], "before 9:40 pm tonight"), (["14:00", "23:00"], "before 2:00 pm today"),
     (["03:00"], "before 3:00 am tomorrow")],
)  # fmt: skip
def test_a_skip_says_its_latest_useful_hour(
    cast: Cast, technician: Client, starts: list[str], words: str
) -> None:
    an_approved_skip(cast, starts)
    assert f"Key it in <b>{words}</b>" in text(technician.get("/field/"))


def test_the_hour_is_the_sites_own(settings: Any) -> None:
    settings.AS_OF = TODAY
    latest = datetime(2026, 7, 6, 21, 40, tzinfo=HERE)
    assert dates.before(latest.astimezone(ZoneInfo("UTC")), TIMEZONE, "metric").replace("\u00a0", " ") == (
        "before 21:40 tonight"
    )
    later = datetime(2026, 7, 9, 3, 0, tzinfo=HERE)
    assert "on Thu" in dates.before(later, TIMEZONE, "metric")


def test_a_skip_whose_start_is_past_vanishes_with_a_word(cast: Cast, technician: Client) -> None:
    """The sheet is looked at at 5:00; a start at 4:30 of last night is past, one at 5:30 isn't."""
    last_night = TODAY - timedelta(days=1)
    program = a_program(cast.controller, "B", starts=["04:30"])
    skip = a_skip(program, effective_from=last_night, effective_to=last_night)
    Change.objects.filter(pk=skip.pk).update(status="approved", decided_at=timezone.now())
    page = text(technician.get("/field/"))
    assert f'action="/field/changes/{skip.pk}/"' not in page
    assert "Too late for the rain skip of" in page
    assert "before 4:30 am today" in page
    program.starts = ["05:30"]
    program.save()
    page = text(technician.get("/field/"))
    assert f'action="/field/changes/{skip.pk}/"' in page
    assert "before 5:30 am today" in page


def test_a_technician_is_offered_no_decision(cast: Cast, technician: Client) -> None:
    approve(change=cast.change, by=cast.office)
    Visit.objects.create(site=cast.site, date=TODAY)
    waiting = a_change(a_program(cast.controller, "C"))
    pages = [technician.get(address).content.decode() for address in ("/field/", f"/changes/{waiting.pk}/")]
    for page in pages:
        assert "/approve/" not in page
        assert "/decline/" not in page
    assert f"/field/changes/{waiting.pk}/" not in pages[0]
    assert technician.post(f"/field/changes/{waiting.pk}/", {"found": "100"}).status_code == 409


@pytest.fixture
def stop(cast: Cast) -> Visit:
    return Visit.objects.create(site=cast.site, date=TODAY)


def test_the_way_there_is_a_place_any_map_opens(cast: Cast, stop: Visit, technician: Client) -> None:
    Site.objects.filter(pk=cast.site.pk).update(address="12 Larkspur Way")
    page = text(technician.get("/field/"))
    assert 'href="geo:39.20000,-121.10000">12 Larkspur Way</a>' in page


def test_a_visit_is_ticked_done_and_stays_in_sight(cast: Cast, stop: Visit, technician: Client) -> None:
    technician.post(f"/field/visits/{stop.pk}/done/")
    stop.refresh_from_db()
    assert stop.done_at is not None
    page = text(technician.get("/field/"))
    assert "visit done" in page
    assert f"/field/visits/{stop.pk}/done/" not in page


def test_a_visit_of_another_day_is_not_done_today(cast: Cast, technician: Client) -> None:
    later = Visit.objects.create(site=cast.site, date=TODAY + timedelta(days=3))
    assert technician.post(f"/field/visits/{later.pk}/done/").status_code == 422
    later.refresh_from_db()
    assert later.done_at is None


def broken(browser: Client, cast: Cast, **sent: str) -> Any:
    usual = {"part": "head", "lost": "10", "note": "by the gate"}
    return browser.post(f"/field/zones/{cast.zone.pk}/broken/", usual | sent)


def test_something_broken_is_noted_in_the_companys_units_and_mended(
    cast: Cast, stop: Visit, technician: Client
) -> None:
    assert broken(technician, cast).status_code == 302
    finding = Finding.objects.get()
    assert finding.lost_l_day == pytest.approx(37.854, abs=0.001)  # 10 US gallons
    assert (finding.part, finding.note, finding.found_on) == ("head", "by the gate", TODAY)
    assert "<b>head</b></a> at" in text(technician.get("/field/"))
    technician.post(f"/field/findings/{finding.pk}/mended/")
    finding.refresh_from_db()
    assert finding.status == "mended"
    assert "<b>head</b></a> at" not in text(technician.get("/field/"))


@pytest.mark.parametrize("what", ["", "12.5", "12,5"])
def test_a_loss_may_be_left_out_or_have_a_fraction(
    cast: Cast, stop: Visit, technician: Client, what: str
) -> None:
    assert broken(technician, cast, lost=what).status_code == 302


@pytest.mark.parametrize(
    "sent",
    [{"part": "heart"}, {"part": ""}, {"lost": "a lot"}, {"lost": "-1"}, {"lost": "99999999"},
     {"note": "x" * 10_000}, {"part": "\0"}, {"lost": "\U0001f4a7"}],
)  # fmt: skip
def test_a_finding_that_says_nothing_is_refused_and_what_was_typed_stays(
    cast: Cast, stop: Visit, technician: Client, sent: dict[str, str]
) -> None:
    answer = broken(technician, cast, **sent)
    assert answer.status_code == 422
    assert not Finding.objects.exists()
    if "note" not in sent:
        assert 'value="by the gate"' in answer.content.decode()


@pytest.mark.parametrize("note", ["\U0001f6bf kaputt", "\u0645\u0643\u0633\u0648\u0631", "a\0b", "<b>&"])
def test_any_script_may_say_what_is_broken(cast: Cast, stop: Visit, technician: Client, note: str) -> None:
    assert broken(technician, cast, note=note).status_code == 302
    assert Finding.objects.get().note == note.replace("\0", "")


def test_a_zone_says_what_was_noted_today(cast: Cast, stop: Visit, technician: Client) -> None:
    technician.post(f"/field/zones/{cast.zone.pk}/", {"probed": "moist"})
    technician.post(f"/field/zones/{cast.zone.pk}/", {"trim": "more", "reason": "Windy corner"})
    page = text(technician.get("/field/"))
    assert "felt <b>moist all through</b> today" in page
    assert "In force: × 1.1, Windy corner" in page
    assert SoilObservation.objects.count() == ZoneTrim.objects.count() == 1


def test_many_controllers_zones_and_entries_cost_as_many_queries_as_one(
    cast: Cast, stop: Visit, technician: Client
) -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert technician.get("/field/").status_code == 200
        return len(seen)

    def more(n: int) -> None:
        box = cast.site.controllers.create(name=f"Box {n}")
        one = a_zone(box, 1)
        approve(change=a_change(a_program(box, "A")), by=cast.office)
        approve(change=a_skip(a_program(box, "B")), by=cast.office)
        Finding.objects.create(zone=one, found_on=TODAY, part="head")
        SoilObservation.objects.create(zone=one, date=TODAY, depletion_share=0.4, how="probe: x")
        ZoneTrim.objects.create(zone=one, effective_from=TODAY, factor=1.1, reason="Windy")
        Visit.objects.create(site=cast.site, date=TODAY + timedelta(days=n + 1))
        SiteRain.objects.create(site=cast.site, date=TODAY - timedelta(days=n + 1), rain_mm=1, how="gauge")
        technician.post(f"/field/zones/{one.pk}/broken/", {"part": "valve"})
        technician.get("/field/")

    more(0)
    few = queries()
    for n in range(1, 6):
        more(n)
    assert queries() == few <= 20


def test_an_owner_enters_too_and_people_without_a_company_never(
    cast: Cast, stop: Visit, owner: Client, signed_in: SignedIn
) -> None:
    assert owner.post(f"/field/visits/{stop.pk}/done/").status_code == 302
    nobody = User.objects.create_user("nobody@elsewhere.test", "three herons at dawn")
    Membership.objects.filter(user=nobody).delete()
    assert signed_in(nobody).post(f"/field/visits/{stop.pk}/done/").status_code == 404
