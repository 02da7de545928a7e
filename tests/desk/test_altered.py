"""Changes of minutes, days and programs on every page that shows changes, in plain words and both units."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from fleet.models import Membership, User, Visit
from scheduling.models import Change, FieldEntry, Program
from scheduling.services.advising import advise, open_sites
from scheduling.services.decisions import approve, decline
from scheduling.services.entering import apply
from scheduling.services.programs import edit_program
from tests.night.garden import ON, Garden
from tests.scheduling.services import altered
from tests.scheduling.services.altered import newest, proposed

pytestmark = pytest.mark.django_db
PROPOSE = "Propose this"


@pytest.fixture
def heron(settings: Any) -> Garden:
    return altered.heron(settings)


@pytest.fixture
def web(heron: Garden, signed_in) -> Client:
    return signed_in(heron.owner)


@pytest.fixture
def hand(heron: Garden, signed_in) -> Client:
    person = User.objects.create_user("hand@heron.test", "three herons at dawn")
    Membership.objects.create(user=person, company=heron.company, role="technician")
    return signed_in(person)


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def test_one_click_on_the_list_and_the_line_says_where_it_went(heron: Garden, web: Client, hand: Client):
    line = altered.dry_between(heron)
    assert PROPOSE in text(web.get("/advice/"))
    assert PROPOSE not in text(hand.get("/advice/"))
    answer = text(web.post(f"/advice/{line.pk}/propose/", follow=True))
    change = Change.objects.get(kind="days")
    assert "days Mon Thu →" in answer
    assert "is proposed and waits on the Week sheet." in answer
    assert PROPOSE not in answer
    assert f'<a href="/changes/{change.pk}/">proposed ' in answer
    assert "was proposed before" in text(web.post(f"/advice/{line.pk}/propose/", follow=True))
    assert Change.objects.count() == 1
    assert ", waiting</a>" in text(hand.get("/advice/"))


def test_the_page_of_its_site_says_where_it_went(heron: Garden, web: Client):
    change = proposed(altered.dry_between(heron), heron).change
    said = text(web.get(f"/sites/{heron.site.pk}/"))
    assert f'<a href="/changes/{change.pk}/">proposed ' in said
    assert "days Mon Thu →" in said


def test_it_is_proposed_on_the_page_of_its_site(heron: Garden, web: Client, hand: Client):
    line = altered.dry_between(heron)
    assert PROPOSE in text(web.get(f"/sites/{heron.site.pk}/"))
    assert PROPOSE not in text(hand.get(f"/sites/{heron.site.pk}/"))
    answer = web.post(f"/advice/{line.pk}/propose/", {"from": "site"})
    assert answer["Location"] == f"/sites/{heron.site.pk}/#advice-{line.pk}"
    assert Change.objects.get().kind == "days"


def test_cycles_alone_say_what_they_do_instead_of_no_water(heron: Garden, web: Client):
    change = proposed(altered.on_clay(heron), heron).change
    assert change.altered.only_splits
    assert change.effect_litres == 0
    for page in (f"/changes/{change.pk}/", "/week/?view=programs", f"/sites/{heron.site.pk}/"):
        assert "same water, less runs off" in text(web.get(page)), page


def test_the_line_follows_its_change(heron: Garden, web: Client):
    line = altered.dry_between(heron)
    change = proposed(line, heron).change
    decline(change=change, by=heron.owner, note="After the party.")
    said = text(web.get("/advice/"))
    assert "declined " in said
    assert PROPOSE in said
    change = proposed(line, heron).change
    approve(change=change, by=heron.owner)
    assert ", to be entered</a>" in text(web.get("/advice/"))
    apply(change=change, by=heron.owner)
    said = text(web.get("/advice/"))
    assert "entered, in force from the night of Tue 14 Jul" in said
    assert PROPOSE not in said
    assert "line of advice" not in text(web.get("/"))
    advise(open_sites(), on=ON + timedelta(days=1))
    assert "entered, in force" not in text(web.get("/advice/"))


def test_who_may_not_and_what_no_longer_holds(heron: Garden, web: Client, hand: Client, signed_in, stranger):
    line = altered.dry_between(heron)
    assert hand.post(f"/advice/{line.pk}/propose/").status_code == 403
    assert signed_in(stranger).post(f"/advice/{line.pk}/propose/").status_code == 404
    altered.change_zone(heron.zones[1], soil="loam")
    assert "This no longer holds" in text(web.post(f"/advice/{line.pk}/propose/", follow=True))


def test_a_program_that_moved_on_is_said(heron: Garden, web: Client):
    line = altered.on_clay(heron)
    edit_program(program=heron.program, by=heron.owner, effective=ON, starts=["02:00"])
    assert "it was computed anew" in text(web.post(f"/advice/{line.pk}/propose/", follow=True))


def test_a_matter_for_the_plan_has_no_button(heron: Garden, web: Client):
    heron.controller.program_capacity = 1
    heron.controller.save()
    line = altered.among_lawns(heron)
    assert PROPOSE not in text(web.get("/advice/"))
    assert "its plan shows" in text(web.post(f"/advice/{line.pk}/propose/", follow=True))


KINDS = {
    "days": (altered.dry_between, "days Mon Thu → "),
    "minutes": (altered.on_clay, "zone 1: cycles of 8 min, 115 min to soak"),
    "program": (altered.among_lawns, "zone 1: program A → B"),
}


@pytest.mark.parametrize("kind", KINDS)
def test_week_sheet_why_client_site_search_and_history_say_it_in_words(heron: Garden, web: Client, kind: str):
    made, words = KINDS[kind]
    change = proposed(made(heron), heron).change
    for address in (
        "/week/",
        "/week/?view=programs",
        f"/changes/{change.pk}/",
        f"/clients/{heron.client.pk}/changes/?kind={kind}",
        f"/sites/{heron.site.pk}/",
    ):
        assert words in text(web.get(address)), address
    assert 'name="value"' not in text(web.get("/week/"))
    assert 'name="value"' not in text(web.get(f"/changes/{change.pk}/"))
    assert words not in text(web.get("/week/?view=skips"))
    assert f"Change {change.pk}: " in text(web.get(f"/search/?words=change+{change.pk}"))
    approve(change=change, by=heron.owner)
    assert words in text(web.get(f"/sites/{heron.site.pk}/history/"))
    assert words in text(web.get("/field/"))
    assert "the program is as it was" not in text(web.get("/"))


def test_why_shows_before_and_after_and_both_fates(heron: Garden, web: Client):
    altered.held_at_100(heron)
    change = proposed(altered.driven(heron), heron).change
    said = text(web.get(f"/changes/{change.pk}/"))
    assert "Lawns, A: zone 1: 36 → 51 min" in said
    assert "<td>36 min in cycles of 20 min, 20 min to soak</td>" in said
    assert "<b>51 min in cycles of 20 min, 20 min to soak</b>" in said
    assert "Kept as it is</th>" in said
    assert "Altered</th>" in said
    assert "15 minutes more for it free 40 points" in said
    assert "+1.7 m³" in said  # 4 x 200 m2 x 15 min at 8.57 mm/h: 1,714 L
    assert "What it does is shown for zone 1" in said


def test_why_lays_todays_water_beside_the_stored(heron: Garden, web: Client):
    change = proposed(altered.dry_between(heron), heron).change
    assert "Computed again today" not in text(web.get(f"/changes/{change.pk}/"))
    altered.change_zone(heron.zones[0], area_m2=400)
    assert "water in its week" in text(web.get(f"/changes/{change.pk}/"))


def test_decided_on_the_week_sheet(heron: Garden, web: Client):
    change = proposed(altered.dry_between(heron), heron).change
    web.post(f"/changes/{change.pk}/approve/", {"value": "90"})
    change.refresh_from_db()
    assert change.status == "approved"
    web.post(f"/changes/{change.pk}/undo/")
    web.post("/week/approve/", {"change": [change.pk]})
    change.refresh_from_db()
    assert change.status == "approved"


def test_the_field_sheet_says_what_to_key_in_and_takes_the_tick(heron: Garden, web: Client, hand: Client):
    change = approve(change=proposed(altered.among_lawns(heron), heron).change, by=heron.owner)
    Visit.objects.create(site=heron.site, date=ON)
    sheet = text(hand.get("/field/"))
    assert "Program B, Native plants (a new one)" in sheet or "(a new one)" in sheet
    assert "taken out of this program" in sheet
    assert "not in this program" in sheet
    answer = text(hand.post(f"/field/changes/{change.pk}/", {"found": "90"}, follow=True))
    assert "entered" in answer
    assert newest(heron, "B").effective == ON
    assert heron.program.settings.get(effective_from=ON - timedelta(days=1)).percent == 90
    site = text(web.get(f"/sites/{heron.site.pk}/"))
    assert ", B" in site
    hand.post(f"/field/entries/{FieldEntry.objects.get().pk}/undo/")
    assert Program.objects.count() == 1


def test_a_controller_that_cannot_split_runs_gets_the_starts_of_its_card(heron: Garden, web: Client):
    heron.controller.cycle_and_soak = False
    heron.controller.save()
    line = altered.on_clay(heron)
    approve(change=proposed(line, heron).change, by=heron.owner)
    sheet = text(web.get("/field/"))
    assert "it soaks by several starts" in sheet
    assert "in cycles of 8 min" not in sheet


def test_a_client_reads_the_new_program_and_nothing_of_the_decision(heron: Garden, web: Client, signed_in):
    from fleet.models import ClientAccess

    reader = User.objects.create_user("reader@heron.test", "three herons at dawn")
    ClientAccess.objects.create(user=reader, client=heron.client)
    heron.client.access_from = ON - timedelta(days=9)
    heron.client.save()
    change = proposed(altered.dry_between(heron), heron).change
    own = signed_in(reader)
    assert own.get(f"/changes/{change.pk}/").status_code in (403, 404)
    approve(change=change, by=heron.owner)
    apply(change=change, by=heron.owner)
    history = text(own.get(f"/sites/{heron.site.pk}/history/"))
    assert f"waters {' '.join(d.capitalize() for d in newest(heron).days.split())}" in history
    assert "days Mon Thu →" not in history


def test_us_words(heron: Garden, web: Client):
    heron.company.units = "us"
    heron.company.save()
    change = proposed(altered.among_lawns(heron), heron).change
    said = text(web.get(f"/changes/{change.pk}/"))
    assert "3:00 am" in said
    assert "gal" in said
