"""Everything entered on the field sheet can be taken back, for an hour and until a night has used it."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from fleet.models import Finding, Membership, SiteRain, SoilObservation, User, Visit, ZoneTrim
from scheduling.models import Change, Delivery, FieldEntry, Setting, Skip
from scheduling.services.decisions import approve
from scheduling.services.nightly import run_night
from tests.cast import Cast, a_skip
from tests.night.garden import ON, TIMEZONE, Garden, garden, weather

pytestmark = pytest.mark.django_db
SignedIn = Callable[[User], Client]
YESTERDAY = ON - timedelta(days=1)


@pytest.fixture
def heron(settings: Any) -> Garden:
    """A lawn whose change is approved and waits to be entered, and rain its weather source had yesterday."""
    settings.AS_OF = ON
    settings.WEATHER_SOURCE = "invented"
    place = garden(minutes=90, percent=170)
    weather(place.cell, rain={YESTERDAY: 12.0})
    run_night(on=ON, timezone=TIMEZONE)
    approve(change=change_of(place), by=place.owner)
    Visit.objects.create(site=place.site, date=ON)
    return place


def change_of(place: Garden) -> Change:
    return Change.objects.filter(program=place.program, kind="percent").latest("id")


def a_technician(place: Garden, name: str = "tech") -> User:
    person = User.objects.create_user(f"{name}@heron.test", "three herons at dawn")
    Membership.objects.create(user=person, company=place.company, role="technician")
    return person


@pytest.fixture
def technician(heron: Garden, signed_in: SignedIn) -> Client:
    return signed_in(a_technician(heron))


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def forms(place: Garden) -> dict[str, tuple[str, dict[str, str]]]:
    """Return every form of the sheet: where it goes and what it sends."""
    zone, site = place.zones[0].pk, place.site.pk
    return {
        "change": (f"/field/changes/{change_of(place).pk}/", {"found": "120"}),
        "soil": (f"/field/zones/{zone}/", {"probed": "dry"}),
        "trim": (f"/field/zones/{zone}/", {"trim": "less", "reason": "Shade of the new hall"}),
        "rain": (f"/field/sites/{site}/rain/", {"day": str(YESTERDAY), "dry": "yes"}),
        "finding": (f"/field/zones/{zone}/broken/", {"part": "head", "lost": "40", "note": "by the gate"}),
        "visit": (f"/field/visits/{Visit.objects.get().pk}/done/", {}),
    }


def everything(place: Garden) -> list[Any]:
    return [
        list(Setting.objects.order_by("pk").values("program", "effective_from", "percent", "how", "change")),
        list(Change.objects.order_by("pk").values("status", "decided", "applied_at", "applied_on")),
        list(Delivery.objects.order_by("pk").values("state")),
        list(SoilObservation.objects.values("zone", "date", "depletion_share", "how", "by")),
        list(ZoneTrim.objects.values("zone", "effective_from", "factor", "reason", "by")),
        list(SiteRain.objects.values("site", "date", "rain_mm", "how", "by")),
        list(Finding.objects.values("part", "status")),
        list(Visit.objects.values("done_at")),
    ]


def send(browser: Client, place: Garden, what: str, **more: str) -> FieldEntry:
    address, sent = forms(place)[what]
    answer = browser.post(address, sent | more, follow=True)
    assert answer.status_code == 200, text(answer)
    entry = FieldEntry.objects.latest("id")
    assert f'action="/field/entries/{entry.pk}/undo/"' in answer.content.decode()
    return entry


def undo(browser: Client, entry: FieldEntry) -> str:
    return text(browser.post(f"/field/entries/{entry.pk}/undo/", follow=True))


KINDS = ["change", "soil", "trim", "rain", "finding", "visit"]


@pytest.mark.parametrize("what", KINDS)
def test_undo_leaves_everything_as_it_was(heron: Garden, technician: Client, what: str) -> None:
    before = everything(heron)
    entry = send(technician, heron, what)
    assert everything(heron) != before
    assert "Taken back:" in undo(technician, entry)
    assert everything(heron) == before


@pytest.mark.parametrize("what", KINDS)
def test_undoing_twice_is_harmless(heron: Garden, technician: Client, what: str) -> None:
    before = everything(heron)
    entry = send(technician, heron, what)
    undo(technician, entry)
    assert "was taken back already" in undo(technician, entry)
    assert everything(heron) == before


@pytest.mark.parametrize("what", KINDS)
def test_a_double_tap_enters_one_thing(heron: Garden, technician: Client, what: str) -> None:
    send(technician, heron, what)
    after = everything(heron)
    address, sent = forms(heron)[what]
    again = technician.post(address, sent, follow=True)
    assert "noted already" in text(again)
    assert everything(heron) == after
    assert FieldEntry.objects.count() == 1


@pytest.mark.parametrize("what", KINDS)
def test_after_undo_it_can_be_entered_again(heron: Garden, technician: Client, what: str) -> None:
    undo(technician, send(technician, heron, what))
    send(technician, heron, what)
    assert FieldEntry.objects.count() == 2


@pytest.mark.parametrize("what", KINDS)
def test_once_a_night_has_used_it_it_stays(heron: Garden, technician: Client, what: str) -> None:
    entry = send(technician, heron, what)
    run_night(on=ON, timezone=TIMEZONE)
    after = everything(heron)
    assert "A night has been decided with it" in undo(technician, entry)
    assert everything(heron) == after
    assert f"/field/entries/{entry.pk}/undo/" not in technician.get("/field/").content.decode()


def test_after_an_hour_it_stays(heron: Garden, technician: Client) -> None:
    entry = send(technician, heron, "soil")
    FieldEntry.objects.filter(pk=entry.pk).update(at=timezone.now() - timedelta(minutes=61))
    assert "over an hour ago" in undo(technician, entry)
    assert SoilObservation.objects.count() == 1
    entry.refresh_from_db()
    assert entry.taken_back_at is None


def test_undo_brings_back_what_was_noted_before(heron: Garden, technician: Client) -> None:
    send(technician, heron, "soil")
    before = everything(heron)
    entry = send(technician, heron, "soil", probed="wet", **{"seen-soil": "0.9:probe: dry all through"})
    assert SoilObservation.objects.get().depletion_share == 0.05
    undo(technician, entry)
    assert everything(heron) == before


def test_what_somebody_corrected_since_is_not_taken_back(
    heron: Garden, technician: Client, signed_in: SignedIn
) -> None:
    entry = send(technician, heron, "rain")
    other = signed_in(a_technician(heron, "second"))
    seen = {f"seen-{YESTERDAY}": "0.0:said_dry"}
    address, _ = forms(heron)["rain"]
    other.post(address, {"day": str(YESTERDAY), "gauge": "3"} | seen)
    assert "changed again since; nothing was taken back" in undo(technician, entry)
    assert SiteRain.objects.get().rain_mm == 3.0


@pytest.mark.parametrize("what", ["soil", "trim"])
def test_of_two_at_once_one_wins_and_the_other_is_told(
    heron: Garden, technician: Client, signed_in: SignedIn, what: str
) -> None:
    send(technician, heron, what)
    after = everything(heron)
    address, sent = forms(heron)[what]
    other = signed_in(a_technician(heron, "second"))
    different = {"soil": {"probed": "wet"}, "trim": {"trim": "more"}}[what]
    late = other.post(address, sent | different)
    assert late.status_code == 409
    assert "nothing was overwritten" in text(late)
    assert everything(heron) == after


def test_a_skip_ticked_and_taken_back_waits_again(heron: Garden, technician: Client) -> None:
    skip = a_skip(heron.program, effective_from=ON, effective_to=ON, reason="Rain.")
    approve(change=skip, by=heron.owner)
    technician.post(f"/field/changes/{skip.pk}/")
    assert Skip.objects.filter(change=skip).count() == 1
    undo(technician, FieldEntry.objects.get())
    skip.refresh_from_db()
    assert skip.status == "approved"
    assert not Skip.objects.exists()
    assert [e.to_status for e in skip.events.all()][-1] == "approved"


def test_a_mended_part_opens_again(heron: Garden, technician: Client) -> None:
    send(technician, heron, "finding")
    finding = Finding.objects.get()
    technician.post(f"/field/findings/{finding.pk}/mended/")
    finding.refresh_from_db()
    assert finding.status == "mended"
    undo(technician, FieldEntry.objects.latest("id"))
    finding.refresh_from_db()
    assert finding.status == "open"


def test_undo_is_nobody_elses(heron: Garden, technician: Client, cast: Cast, signed_in: SignedIn) -> None:
    entry = send(technician, heron, "soil")
    for who in (cast.owner, cast.client_person):
        assert signed_in(who).post(f"/field/entries/{entry.pk}/undo/").status_code == 404
    assert SoilObservation.objects.exists()


def test_the_sheet_lists_what_oneself_entered_just_now(
    heron: Garden, technician: Client, signed_in: SignedIn
) -> None:
    send(technician, heron, "trim")
    assert "Just entered by you" in text(technician.get("/field/"))
    assert "Zone 1 Lawn 1: a tenth less from today on, Shade of the new hall" in text(
        technician.get("/field/")
    )
    assert "Just entered by you" not in text(signed_in(heron.owner).get("/field/"))
