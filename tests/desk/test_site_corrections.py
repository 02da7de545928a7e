"""The page of a site's corrections: noted, set right, refused by field, told where a need is explained."""

import json
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from fleet.models import SiteCorrection
from scheduling.models import Change
from scheduling.services.nightly import run_night
from tests.cast import TODAY, Cast
from tests.night.garden import ON, TIMEZONE, Garden, foresee, garden, weather

pytestmark = pytest.mark.django_db


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def address(cast: Cast) -> str:
    return f"/sites/{cast.site.pk}/corrections/"


def said(**typed: str) -> dict[str, str]:
    return {"factor": "85", "reason": "Courtyard.", "effective_from": TODAY.isoformat()} | typed


def test_a_correction_is_noted_with_its_reason_its_day_and_who(cast: Cast, technician: Client) -> None:
    assert "It counts as the weather of its place is." in text(technician.get(address(cast)))
    answer = technician.post(address(cast), said(), follow=True)
    row = SiteCorrection.objects.get()
    assert (row.factor, row.reason, row.effective_from, row.by) == (
        0.85,
        "Courtyard.",
        TODAY,
        cast.technician,
    )
    page = text(answer)
    assert f"{cast.site}: counted at 85 % of the reference ET of its place." in page
    assert "85 %" in page and "Courtyard." in page
    assert row.history.count() == 1


def test_it_is_set_right_and_nobody_is_overwritten(cast: Cast, technician: Client, owner: Client) -> None:
    technician.post(address(cast), said())
    row = SiteCorrection.objects.get()
    page = f"/corrections/{row.pk}/"
    sheet = technician.get(page).context["sheet"]
    typed = json.loads(sheet.was) | {"was": sheet.was}
    assert owner.post(page, typed | {"factor": "90"}).status_code == 302
    row.refresh_from_db()
    assert (row.factor, row.by, row.effective_from) == (0.9, cast.owner, TODAY)
    stale = technician.post(page, typed | {"factor": "70"})
    assert stale.status_code == 409
    assert "Somebody saved" in text(stale) and "<b>90</b>" in text(stale)
    row.refresh_from_db()
    assert row.factor == 0.9


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"factor": "49"}, "factor"),
        ({"factor": "151"}, "factor"),
        ({"factor": ""}, "factor"),
        ({"factor": "🌱"}, "factor"),
        ({"reason": " "}, "reason"),
        ({"reason": "x" * 201}, "reason"),
        ({"reason": "a\0"}, "reason"),
        ({"effective_from": "soon"}, "effective_from"),
        ({"effective_from": ""}, "effective_from"),
        ({"effective_from": (TODAY + timedelta(days=32)).isoformat()}, "effective_from"),
    ],
)
def test_what_it_cannot_be_is_told_at_its_field(
    cast: Cast, technician: Client, wrong: dict[str, str], field: str
) -> None:
    answer = technician.post(address(cast), said(**wrong))
    assert answer.status_code == 422
    assert set(answer.context["sheet"].errors) == {field}
    assert not SiteCorrection.objects.exists()


def test_an_empty_reason_is_told_with_the_rest_and_in_our_words(cast: Cast, technician: Client) -> None:
    answer = technician.post(address(cast), said(factor="999", reason="", effective_from="soon"))
    assert answer.status_code == 422
    assert answer.context["sheet"].errors.keys() == {"factor", "reason", "effective_from"}
    answer = technician.post(address(cast), said(reason=""))
    assert answer.context["sheet"].errors == {"reason": "This can't be empty."}


def test_a_second_one_of_a_day_is_no_second_row(cast: Cast, technician: Client) -> None:
    technician.post(address(cast), said())
    again = technician.post(address(cast), said(factor="120"))
    assert again.status_code == 422
    assert "effective_from" in again.context["sheet"].errors
    assert SiteCorrection.objects.get().factor == 0.85


def test_a_client_and_a_stranger_find_no_such_page(cast: Cast, stranger: Any, signed_in: Any) -> None:
    row = cast.site.corrections.create(factor=0.9, reason="Walls.", effective_from=TODAY)
    for person in (cast.client_person, stranger):
        browser = signed_in(person)
        for page in (address(cast), f"/corrections/{row.pk}/"):
            assert browser.get(page).status_code == browser.post(page, said()).status_code == 404
    assert SiteCorrection.objects.count() == 1


def test_the_history_tells_it(cast: Cast, owner: Client) -> None:
    cast.site.corrections.create(factor=0.85, reason="Walls.", effective_from=TODAY, by=cast.office)
    page = text(owner.get(f"/sites/{cast.site.pk}/history/"))
    assert "the site counted at 85 % of the reference ET of its place" in page
    assert "Walls." in page


@pytest.fixture
def heron(settings: Any) -> Garden:
    """A site at 110 % of its place's reference ET, and what a night decided there."""
    settings.AS_OF = ON
    settings.WEATHER_SOURCE = "invented"
    place = garden("Heron", minutes=25)
    weather(place.cell)
    place.site.corrections.create(factor=1.1, reason="Windy ridge.", effective_from=ON - timedelta(days=9))
    run_night(on=ON, timezone=TIMEZONE)
    return place


def test_the_site_and_the_page_of_a_change_explain_the_need_with_it(heron: Garden, signed_in: Any) -> None:
    office = signed_in(heron.owner)
    site = text(office.get(f"/sites/{heron.site.pk}/"))
    assert "this site counts at 110 % of its reference ET" in site
    assert "Windy ridge." in site
    change = Change.objects.get(program=heron.program, kind="percent")
    why = text(office.get(f"/changes/{change.pk}/"))
    assert "This site counts at 110 % of it since" in why and "Windy ridge." in why
    account, zone = change.inputs["units"][0], change.inputs["days"]
    assert sum(account["et_mm"]) == pytest.approx(1.1 * 0.94 * sum(day["et0_mm"] for day in zone))
    assert "× 1.10 for this site × 0.94 for" in why
    assert "trimmed on site" not in why


def test_a_change_decided_before_it_shows_what_moved(heron: Garden, signed_in: Any, settings: Any) -> None:
    heron.site.corrections.update(factor=1.4)
    settings.AS_OF = ON + timedelta(days=1)
    foresee(
        heron.cell,
        on=settings.AS_OF,
        common=lambda day: {"date": day, "t_min_c": 14.0, "t_max_c": 30.0, "reference_et_mm": 6.0},
    )
    change = Change.objects.get(program=heron.program, kind="percent")
    why = text(signed_in(heron.owner).get(f"/changes/{change.pk}/"))
    assert "site counts at" in why and "140 %" in why


def test_the_plan_says_that_it_counts_with_it(heron: Garden, signed_in: Any) -> None:
    page = text(signed_in(heron.owner).get(f"/controllers/{heron.controller.pk}/plan/"))
    assert "Planned at 110 % of the usual reference ET of its place: " in page and "Windy ridge." in page
