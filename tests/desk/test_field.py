"""The field sheet: entering with the settings found, facts from the garden, and tomorrow's decision."""

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fleet.models import Membership, SoilObservation, User, Visit, ZoneTrim
from scheduling.models import Change, Setting
from scheduling.services.decisions import approve
from scheduling.services.nightly import run_night
from tests.cast import Cast
from tests.night.garden import ON, TIMEZONE, Garden, foresee, garden, weather
from weather.models import ObservedDay

pytestmark = pytest.mark.django_db
SignedIn = Callable[[User], Client]
TOMORROW = ON + timedelta(days=1)


@pytest.fixture
def heron(settings: Any) -> Garden:
    """A lawn whose change is approved and waits to be entered."""
    settings.AS_OF = ON
    settings.WEATHER_SOURCE = "invented"
    place = garden("Heron", minutes=90, percent=170)
    weather(place.cell)
    run_night(on=ON, timezone=TIMEZONE)
    approve(change=change_of(place), by=place.owner)
    return place


@pytest.fixture
def technician(heron: Garden, signed_in: SignedIn) -> Client:
    person = User.objects.create_user("tech@heron.test", "three herons at dawn")
    Membership.objects.create(user=person, company=heron.company, role="technician")
    return signed_in(person)


def change_of(place: Garden) -> Change:
    return Change.objects.filter(program=place.program, kind="percent").latest("id")


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def tomorrow(place: Garden) -> None:
    """Let a usual day pass and run the next night."""
    newest = ObservedDay.objects.filter(cell=place.cell).latest("date")

    def usual(day: Any) -> dict[str, Any]:
        return {"date": day, "t_min_c": 14.0, "t_max_c": 30.0, "reference_et_mm": newest.reference_et_mm}

    ObservedDay.objects.update_or_create(
        cell=place.cell, date=ON, defaults=usual(ON) | {"rain_mm": 0.0, "quality": "station"}
    )
    foresee(place.cell, on=TOMORROW, common=usual)
    run_night(on=TOMORROW, timezone=TIMEZONE)


def test_the_sheet_says_what_to_key_in(heron: Garden, technician: Client) -> None:
    page = text(technician.get("/field/"))
    change = change_of(heron)
    assert f"170 % → <b>{change.decided} %</b>" in page
    assert 'value="170"' in page


def test_a_newer_proposal_is_told_before_the_older_one_is_keyed_in(heron: Garden, technician: Client) -> None:
    assert "newer proposal" not in text(technician.get("/field/"))
    Change.objects.create(
        program=heron.program, kind="percent", current=170, proposed=85, effective_from=ON, reason="Cooler."
    )
    assert "newer proposal of 85 % waits for a decision: ask the office" in re.sub(
        "<[^>]+>", "", text(technician.get("/field/"))
    )


def test_entering_with_what_was_believed_keeps_only_the_new_percent(
    heron: Garden, technician: Client
) -> None:
    change = change_of(heron)
    before = Setting.objects.count()
    answer = technician.post(f"/field/changes/{change.pk}/", {"found": "170"})
    assert answer.status_code == 302
    change.refresh_from_db()
    assert change.status == "applied"
    assert Setting.objects.count() == before + 1


def test_a_percent_found_otherwise_is_kept_from_the_night_before(heron: Garden, technician: Client) -> None:
    change = change_of(heron)
    technician.post(f"/field/changes/{change.pk}/", {"found": "120"})
    rows = list(Setting.objects.order_by("effective_from").values_list("effective_from", "percent", "how"))
    assert rows[0][1:] == (170, "found")  # what was found at the take-over is never written over
    assert rows[1:] == [(ON - timedelta(days=1), 120, "entered"), (ON, change.decided, "change")]


@pytest.mark.parametrize(("found", "status"), [("9999", 422), ("-5", 422), ("many", 422), ("1e3", 422)])
def test_a_percent_that_can_not_be_changes_nothing(
    heron: Garden, technician: Client, found: str, status: int
) -> None:
    change = change_of(heron)
    assert technician.post(f"/field/changes/{change.pk}/", {"found": found}).status_code == status
    change.refresh_from_db()
    assert change.status == "approved"


def test_a_second_tap_of_the_same_person_is_harmless(heron: Garden, technician: Client) -> None:
    change = change_of(heron)
    technician.post(f"/field/changes/{change.pk}/", {"found": "170"})
    before = Setting.objects.count()
    again = technician.post(f"/field/changes/{change.pk}/", {"found": "170"}, follow=True)
    assert again.status_code == 200
    assert "That was noted already; nothing was changed." in text(again)
    assert Setting.objects.count() == before


def test_of_two_technicians_one_enters_it_and_the_other_is_told(
    heron: Garden, technician: Client, signed_in: SignedIn
) -> None:
    change = change_of(heron)
    technician.post(f"/field/changes/{change.pk}/", {"found": "170"})
    before = Setting.objects.count()
    late = signed_in(heron.owner).post(f"/field/changes/{change.pk}/", {"found": "170"})
    assert late.status_code == 409
    assert "nothing was overwritten" in text(late)
    assert Setting.objects.count() == before


def test_another_percent_found_afterwards_is_not_lost_without_a_word(
    heron: Garden, technician: Client
) -> None:
    change = change_of(heron)
    technician.post(f"/field/changes/{change.pk}/", {"found": "170"})
    again = technician.post(f"/field/changes/{change.pk}/", {"found": "120"})
    assert again.status_code == 409


def test_a_dry_probe_is_where_tomorrows_decision_starts(heron: Garden, technician: Client) -> None:
    """Dry all through: 0.9 of what the loam holds, 0.9 x 0.17 x 300 mm, is gone on the morning of the 14th.

    Then comes that day: 6.0 x 0.94 mm of ET, held back as the soil is dry: Ks = (51 - 45.9) / 25.5 = 0.2.
    """
    technician.post(f"/field/zones/{heron.zones[0].pk}/", {"probed": "dry"})
    assert SoilObservation.objects.get().depletion_share == 0.9
    tomorrow(heron)
    start = change_of(heron).inputs["units"][0]["start_mm"]
    assert start == pytest.approx(45.9 + 0.2 * 6.0 * 0.94)


def test_a_trim_is_part_of_tomorrows_decision(heron: Garden, technician: Client) -> None:
    technician.post(f"/field/zones/{heron.zones[0].pk}/", {"trim": "less", "reason": "Shade of the new hall"})
    assert ZoneTrim.objects.get().factor == 0.9
    Change.objects.all().delete()
    tomorrow(heron)
    inputs = change_of(heron).inputs
    unit = inputs["units"][0]
    assert unit["trim"] == 0.9
    assert unit["et_mm"][0] == pytest.approx(inputs["days"][0]["et0_mm"] * 0.94 * 0.9)


@pytest.mark.parametrize(
    "sent",
    [{"probed": "soaking"}, {"trim": "less", "reason": " "}, {"trim": "all", "reason": "x"}, {},
     {"trim": "less", "reason": "x" * 201}],
)  # fmt: skip
def test_a_fact_that_says_nothing_is_refused(heron: Garden, technician: Client, sent: dict[str, str]) -> None:
    assert technician.post(f"/field/zones/{heron.zones[0].pk}/", sent).status_code == 422
    assert not SoilObservation.objects.exists() and not ZoneTrim.objects.exists()


def test_todays_visit_comes_first_even_with_nothing_to_enter(heron: Garden, technician: Client) -> None:
    other = garden("Avocet", place=(39.5, -121.5, 300.0))
    other.client.company = heron.company
    other.client.save()
    Visit.objects.create(site=other.site, date=ON)
    page = text(technician.get("/field/"))
    assert page.index("Avocet grounds") < page.index("Heron grounds")
    assert "Nothing to enter here today." in page


def test_an_empty_sheet_says_so(cast: Cast, signed_in: SignedIn) -> None:
    assert "Nothing is to be entered" in text(signed_in(cast.technician).get("/field/"))


def test_it_is_nobody_elses(heron: Garden, cast: Cast, signed_in: SignedIn) -> None:
    change, zone = change_of(heron), heron.zones[0]
    for who in (cast.technician, cast.client_person):
        browser = signed_in(who)
        assert browser.post(f"/field/changes/{change.pk}/", {"found": "170"}).status_code == 404
        assert browser.post(f"/field/zones/{zone.pk}/", {"probed": "dry"}).status_code == 404
    assert signed_in(cast.client_person).get("/field/").status_code == 404


def test_many_sites_cost_as_many_queries_as_one(heron: Garden, technician: Client) -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert technician.get("/field/").status_code == 200
        return len(seen)

    few = queries()
    for n in range(6):
        more = garden(f"More{n}", place=(36.0 + 0.06 * n, -121.0, 100.0))
        more.client.company = heron.company
        more.client.save()
        Visit.objects.create(site=more.site, date=ON)
    assert queries() == few
