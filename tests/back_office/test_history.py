"""What every row was before: who changed it, from where, and what it was."""

from collections.abc import Iterator

import pytest
from django.contrib.auth.models import Permission
from django.core.management import call_command
from django.test import Client as Browser
from rest_framework.test import APIClient

from fleet.history import AS_FOUND, BY_ITSELF
from fleet.models import Client, SoilObservation, User, WateringRule, Zone
from scheduling.models import Change, Program, Setting
from scheduling.services.decisions import approve
from tests.back_office.conftest import address
from tests.cast import PASSWORD, TODAY, Cast, person
from tests.rows import MAKERS

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # asks nothing that databases answer differently
APPLIED = {"applied_on": TODAY.isoformat()}
BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture
def rule(cast: Cast) -> Iterator[WateringRule]:
    yield WateringRule.objects.create(company=cast.company, name="Town")


def rename(browser: Browser, rule: WateringRule, name: str) -> None:
    said = {"company": rule.company_id, "name": name, "parity": "odd", "addresses": rule.addresses}
    assert browser.post(address(WateringRule, "change", rule.pk), said).status_code == 302


def signed(browser: APIClient, user: User) -> APIClient:
    said = {"email": user.email, "password": PASSWORD}
    token = browser.post("/api/v1/token/", said, format="json").json()["token"]
    browser.credentials(HTTP_AUTHORIZATION=f"Bearer {token}")
    return browser


def test_a_change_in_the_back_office_is_its_keepers(keeper, keeper_person, rule):
    rename(keeper, rule, "County")
    newest = rule.history.first()
    assert (newest.history_type, newest.name, newest.history_user) == ("~", "County", keeper_person)


def test_a_write_with_a_token_is_the_tokens_owners(cast: Cast, api: APIClient):
    approve(change=cast.change, by=cast.office)
    signed(api, cast.technician)
    assert api.post(f"/api/v1/changes/{cast.change.pk}/apply/", APPLIED, format="json").status_code == 200
    assert Setting.objects.get().history.get().history_user == cast.technician


def test_a_token_counts_for_more_than_the_browser_it_comes_from(cast: Cast, api: APIClient):
    approve(change=cast.change, by=cast.office)
    signed(api, cast.technician)
    api.force_login(cast.owner, backend=BACKEND)
    assert api.post(f"/api/v1/changes/{cast.change.pk}/apply/", APPLIED, format="json").status_code == 200
    assert Setting.objects.get().history.get().history_user == cast.technician


def test_a_write_on_a_page_is_the_signed_in_persons(cast: Cast, client: Browser):
    approve(change=cast.change, by=cast.office)
    client.force_login(cast.owner, backend=BACKEND)
    client.post(f"/field/changes/{cast.change.pk}/", APPLIED)
    assert Setting.objects.get().history.get().history_user == cast.owner


def test_what_no_request_did_is_nobodys(cast: Cast, rule):
    apply_after_a_request = APIClient()
    signed(apply_after_a_request, cast.owner).get("/api/v1/clients/")
    rule.name = "By a command"
    rule.save()
    assert rule.history.first().history_user is None


def test_the_night_keeps_no_rows(cast: Cast):
    before = {m: m.history.count() for m in (Client, Program, Setting, Zone)}
    call_command("nightly", "--date", TODAY.isoformat(), verbosity=0)
    assert {m: m.history.count() for m in before} == before
    assert cast.site.history.count() == 1
    cast.site.refresh_from_db()
    assert cast.site.cell_id is not None, "the night gave the site its piece of the map, in bulk"


def test_a_row_made_in_bulk_is_noted_as_it_was_before_its_first_change(cast: Cast, keeper, keeper_person):
    (rule,) = WateringRule.objects.bulk_create([WateringRule(company=cast.company, name="In bulk")])
    assert not rule.history.exists()
    rename(keeper, rule, "By hand")
    told = [(h.history_type, h.name, h.history_user, h.history_change_reason) for h in rule.history.all()]
    assert told == [("~", "By hand", keeper_person, None), ("+", "In bulk", None, AS_FOUND)]


def test_what_the_service_changed_in_bulk_is_not_taken_for_a_persons_change(keeper, keeper_person, rule):
    WateringRule.objects.filter(pk=rule.pk).update(days_per_week=2)
    rule.refresh_from_db()
    rule._history_user = keeper_person
    rule.name = "Renamed"
    rule.save()
    told = [(h.name, h.days_per_week, h.history_user, h.history_change_reason) for h in rule.history.all()]
    assert told == [
        ("Renamed", 2, keeper_person, None),
        ("Town", 2, None, BY_ITSELF),
        ("Town", None, None, None),
    ]


def test_signing_in_and_passwords_leave_no_trace(cast: Cast, client: Browser):
    before = User.history.count()
    client.post("/sign-in/", {"email": cast.owner.email, "password": PASSWORD})
    cast.owner.refresh_from_db()
    assert cast.owner.last_login is not None
    assert User.history.count() == before
    kept = {field.name for field in User.history.model._meta.get_fields()}
    assert not {"password", "last_login"} & kept
    assert {"email", "is_staff", "is_superuser", "is_active"} <= kept


def test_what_is_deleted_keeps_its_history(keeper, keeper_person, rule):
    rename(keeper, rule, "County")
    number = rule.pk
    keeper.post(address(WateringRule, "delete", number), {"post": "yes"})
    assert not WateringRule.objects.filter(pk=number).exists()
    kept = WateringRule.history.filter(id=number)
    assert [h.history_type for h in kept] == ["-", "~", "+"]
    assert kept[0].history_user == keeper_person
    listed = keeper.get(address(WateringRule, "deleted")).content.decode()
    assert "County" in listed
    assert address(WateringRule, "history", number) in listed
    assert keeper.get(address(WateringRule, "history", number)).status_code == 200


def test_a_row_deleted_with_its_parents_still_opens(cast: Cast, keeper):
    seen = SoilObservation.objects.create(zone=cast.zone, date=TODAY, depletion_share=0.4)
    number, earlier = seen.pk, seen.history.get().pk
    cast.change.delete()
    cast.client.delete()
    for page in (
        address(SoilObservation, "history", number),
        address(SoilObservation, "deleted"),
        address(SoilObservation, "simple_history", number, earlier),
    ):
        assert "no longer there" in keeper.get(page).content.decode() or page.endswith("/history/")
    assert keeper.get(address(SoilObservation, "history", number)).status_code == 200


def test_who_did_it_stays_written_down_when_the_person_goes(keeper, rule):
    gone = person("gone@bluestem.test")
    rule._history_user = gone
    rule.save()
    number = gone.pk
    gone.delete()
    assert rule.history.first().history_user_id == number
    assert (
        f"somebody no longer here ({number})"
        in keeper.get(address(WateringRule, "history", rule.pk)).content.decode()
    )


def test_what_changed_is_told_in_words(keeper, rule):
    rename(keeper, rule, "County")
    page = keeper.get(address(WateringRule, "history", rule.pk))
    newest = page.context["page_obj"][0]
    assert newest.differences == [("name", "Town", "County"), ("parity", "any date", "odd dates")]
    text = page.content.decode()
    assert "Town → County" in text
    assert "keeper@bluestem.test" in text


def test_what_changed_is_told_across_pages(keeper, rule):
    for n in range(60):
        rule.name = f"Name {n}"
        rule.save()
    page = keeper.get(address(WateringRule, "history", rule.pk))
    assert page.context["page_obj"].object_list[49].differences == [("name", "Name 9", "Name 10")]


def test_every_field_of_an_earlier_row_is_shown_and_nothing_is_put_back(keeper, rule):
    rename(keeper, rule, "County")
    oldest = rule.history.last()
    page = address(WateringRule, "simple_history", rule.pk, oldest.pk)
    assert ">Town<" in keeper.get(page).content.decode()
    keeper.post(page, {"name": "Town", "company": rule.company_id, "parity": "any"})
    rule.refresh_from_db()
    assert rule.name == "County"


@pytest.mark.parametrize("number", ["x", "9" * 30, "0", "%00", "-1"])
def test_a_number_that_is_none_is_not_found(keeper, number):
    base = address(WateringRule, "changelist")
    assert keeper.get(f"{base}{number}/history/").status_code == 404
    assert keeper.get(f"{base}{number}/history/{number}/").status_code == 404


def test_history_is_for_those_who_may_see_the_row(cast: Cast, client: Browser, rule):
    staff = person("staff@bluestem.test", is_staff=True)
    staff.user_permissions.add(Permission.objects.get(codename="view_zone"))
    client.force_login(staff, backend=BACKEND)
    assert client.get(address(Zone, "history", cast.zone.pk)).status_code == 200
    assert client.get(address(Zone, "deleted")).status_code == 200
    for page in (
        address(WateringRule, "history", rule.pk),
        address(WateringRule, "deleted"),
        address(WateringRule, "simple_history", rule.pk, rule.history.get().pk),
    ):
        assert client.get(page).status_code == 403


def test_a_long_history_asks_no_more_than_a_short_one(keeper, cast: Cast, django_assert_num_queries):
    row = Setting.objects.create(program=cast.program, percent=0, effective_from=TODAY, change=cast.change)
    keeper.get(address(Setting, "history", row.pk))  # what is remembered from page to page is asked here
    counts = []
    for percents in (range(1, 4), range(4, 31)):
        for percent in percents:
            row.percent, row.change = percent, cast.change if percent % 2 else None
            row.save()
        with django_assert_num_queries(10, exact=False) as asked:
            assert keeper.get(address(Setting, "history", row.pk)).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1]


@pytest.mark.parametrize("model", [m for m in MAKERS if hasattr(m, "history")], ids=lambda m: m.__name__)
def test_the_history_of_every_model_opens(keeper, cast: Cast, model):
    row = MAKERS[model](cast, 1)
    row.save()
    oldest = row.history.last()
    for page in (
        address(model, "history", row.pk),
        address(model, "simple_history", row.pk, oldest.pk),
        address(model, "deleted"),
    ):
        assert keeper.get(page).status_code == 200
    number = row.pk
    if model is not User:
        Change.objects.all().delete()
        row.delete()
        for page in (address(model, "history", number), address(model, "deleted")):
            assert keeper.get(page).status_code == 200


def test_a_field_of_several_values_is_told_too(keeper, cast: Cast):
    cast.zone.basis = {"soil": "measured"}
    cast.zone.save()
    page = keeper.get(address(Zone, "history", cast.zone.pk)).content.decode()
    assert "– → soil: measured" in page
