"""What can hurt: who gets in, what can't be touched, and what is asked before it is done."""

from datetime import timedelta
from typing import Any

import pytest
from django.contrib import admin
from django.contrib.admin.models import LogEntry
from django.contrib.auth.models import Permission
from django.test import Client as Browser
from knox.models import AuthToken

from common.back_office.read_only import ReadOnly
from fleet.models import Client, Company, Finding, User
from scheduling.models import Change, ChangeEvent, NightlyRun, NightlyRunCompany, Program, Setting, Skip
from scheduling.services.decisions import approve
from scheduling.services.entering import apply
from tests.back_office.conftest import address
from tests.back_office.makers import ALL, a_cell
from tests.cast import PASSWORD, TODAY, Cast, a_cast, a_skip, person
from weather.models import FetchDay, ObservedDay, Quality, WeatherCell

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # asks nothing that databases answer differently
BACKEND = "django.contrib.auth.backends.ModelBackend"
READ_ONLY = [m for m, page in admin.site._registry.items() if isinstance(page, ReadOnly)]
RECORDED = {"Change", "ChangeEvent", "Delivery", "NightlyRun", "NightlyRunCompany"}


def chosen(browser: Browser, model: Any, action: str, *rows: Any, **more: str) -> Any:
    data = {"action": action, "_selected_action": [row.pk for row in rows], **more}
    return browser.post(address(model, "changelist"), data, follow=True)


def done(browser: Browser, model: Any, action: str, *rows: Any) -> str:
    """Answer what is asked and return the page that follows."""
    return chosen(browser, model, action, *rows, confirmed="yes").content.decode()


def logged(row: Any) -> list[str]:
    entries = LogEntry.objects.filter(object_id=str(row.pk), content_type__model=row._meta.model_name)
    return [entry.get_change_message() for entry in entries]


def staff(*rights: str) -> User:
    who = person("staff@bluestem.test", is_staff=True)
    who.user_permissions.set(Permission.objects.filter(codename__in=rights))
    return who


@pytest.fixture
def clerk(client: Browser) -> Browser:
    """The browser of somebody who may look at everything and touch nothing."""
    may_see = Permission.objects.filter(codename__startswith="view_").values_list("codename", flat=True)
    client.force_login(staff(*may_see), backend=BACKEND)
    return client


# ---------------------------------------------------------------- who gets in
def test_people_of_a_company_are_not_let_in(client, cast: Cast):
    for user in (cast.owner, cast.office, cast.technician, cast.client_person):
        client.force_login(user, backend=BACKEND)
        response = client.get(address(Change, "changelist"))
        assert response.status_code == 302
        assert response["Location"].startswith("/back-office/login/")


def test_staff_without_rights_see_no_table(client, cast: Cast):
    client.force_login(staff(), backend=BACKEND)
    assert client.get("/back-office/").status_code == 200
    for model in admin.site._registry:
        assert client.get(address(model, "changelist")).status_code == 403, model


def test_who_may_look_is_offered_nothing_to_do(clerk, cast: Cast):
    for model in (Client, User, WeatherCell, NightlyRunCompany, Setting):
        page = clerk.get(address(model, "changelist"))
        assert page.status_code == 200
        assert page.context["action_form"] is None, model


def test_who_may_look_does_nothing_by_asking_for_it(clerk, cast: Cast):
    done(clerk, Client, "close_access", cast.client)
    done(clerk, User, "stop_signing_in", cast.owner)
    cast.client.refresh_from_db()
    cast.owner.refresh_from_db()
    assert cast.client.access_from is not None
    assert cast.owner.is_active


def test_too_many_wrong_passwords_shut_the_back_office_too(client, keeper_person):
    for _ in range(8):
        client.post("/back-office/login/", {"username": keeper_person.email, "password": "wrong"})
    right = {"username": keeper_person.email, "password": PASSWORD}
    client.post("/back-office/login/", right)
    assert client.get("/back-office/").status_code == 302


# ---------------------------------------------------------------- what can't be touched
@pytest.mark.parametrize("model", READ_ONLY, ids=lambda m: m.__name__)
def test_what_is_recorded_is_neither_added_nor_changed_nor_deleted(keeper, cast: Cast, model):
    row = ALL[model](cast, 1)
    assert keeper.get(address(model, "add")).status_code == 403
    assert keeper.post(address(model, "change", row.pk), {"status": "applied"}).status_code == 403
    assert keeper.post(address(model, "delete", row.pk), {"post": "yes"}).status_code == 403
    chosen(keeper, model, "delete_selected", row, post="yes")
    assert model.objects.filter(pk=row.pk).exists()


def test_decisions_events_and_nights_are_among_it():
    assert {m.__name__ for m in READ_ONLY} >= RECORDED


def test_nothing_that_has_a_change_is_deleted_with_it(keeper, cast: Cast):
    ChangeEvent.objects.create(change=cast.change, to_status="pending")
    above = (cast.program, cast.controller, cast.site, cast.client, cast.company)
    for row in above:
        page = keeper.post(address(type(row), "delete", row.pk), {"post": "yes"})
        assert page.status_code == 403 or "would require deleting" in page.content.decode(), row
        chosen(keeper, type(row), "delete_selected", row, post="yes")
        assert type(row).objects.filter(pk=row.pk).exists()
    assert Change.objects.filter(pk=cast.change.pk).exists()
    assert ChangeEvent.objects.exists()
    assert NightlyRun.objects.filter(pk=cast.run.pk).exists()


def test_what_was_entered_from_a_change_is_not_deleted(keeper, cast: Cast):
    skip = a_skip(cast.program)
    for change in (cast.change, skip):
        approve(change=change, by=cast.office)
        apply(change=change, by=cast.technician, applied_on=TODAY)
    for row in (Setting.objects.get(), Skip.objects.get()):
        assert keeper.post(address(type(row), "delete", row.pk), {"post": "yes"}).status_code == 403
        chosen(keeper, type(row), "delete_selected", row, post="yes")
        assert type(row).objects.filter(pk=row.pk).exists()


def test_a_percent_typed_in_by_mistake_is_deleted_after_being_asked(keeper, cast: Cast):
    row = Setting.objects.create(program=cast.program, percent=90, effective_from=TODAY)
    asked = chosen(keeper, Setting, "delete_selected", row)
    assert "Are you sure" in asked.content.decode()
    assert Setting.objects.filter(pk=row.pk).exists()
    chosen(keeper, Setting, "delete_selected", row, post="yes")
    assert not Setting.objects.exists()
    assert Setting.history.first().history_type == "-"


def test_a_delete_says_how_many_rows_go_with_it(keeper, cast: Cast):
    ALL[Finding](cast, 1)
    ChangeEvent.objects.all().delete()
    Change.objects.all().delete()
    page = keeper.get(address(Program, "delete", cast.program.pk)).content.decode()
    assert "Zone runs: 1" in page


def test_people_are_never_deleted(keeper, cast: Cast):
    assert keeper.post(address(User, "delete", cast.owner.pk), {"post": "yes"}).status_code == 403
    chosen(keeper, User, "delete_selected", cast.owner, post="yes")
    assert User.objects.filter(pk=cast.owner.pk).exists()


# ---------------------------------------------------------------- what is asked first
ACTIONS = [
    (model, name)
    for model, page in admin.site._registry.items()
    for name in page.actions
    if model._meta.app_label in ("fleet", "scheduling", "reports", "weather")
]


@pytest.mark.parametrize(("model", "action"), ACTIONS, ids=str)
def test_every_action_asks_and_going_back_leaves_everything_as_it_was(keeper, cast: Cast, model, action):
    row = ALL[model](cast, 1)
    before = model.objects.filter(pk=row.pk).values().get()
    entries = LogEntry.objects.count()
    page = chosen(keeper, model, action, row).content.decode()
    assert page.count('name="confirmed"') == 1
    assert "No, go back" in page
    assert model.objects.filter(pk=row.pk).values().get() == before
    assert LogEntry.objects.count() == entries


def test_the_actions_are_these():
    assert {name for _, name in ACTIONS} == {"close_access", "fetch_again", "run_again", "stop_signing_in"}


def test_more_than_a_hundred_rows_are_not_done_at_once(keeper, cast: Cast):
    rows = Client.objects.bulk_create(
        Client(company=cast.company, name=f"Many {n}", access_from=TODAY) for n in range(101)
    )
    assert "100 rows at the most" in done(keeper, Client, "close_access", *rows)
    assert not Client.objects.filter(name__startswith="Many", access_from=None).exists()


def test_closing_access_is_told_done_logged_and_kept(keeper, keeper_person, cast: Cast):
    other = a_cast("Quillback", "quillback.test").client
    asked = chosen(keeper, Client, "close_access", cast.client).content.decode()
    assert "1 person will" in asked
    assert cast.client.name in asked
    assert "Access closed; 1" in done(keeper, Client, "close_access", cast.client)
    cast.client.refresh_from_db()
    other.refresh_from_db()
    assert cast.client.access_from is None
    assert other.access_from is not None
    assert logged(cast.client) == ["Access closed; 1 had been open or due to open."]
    newest = cast.client.history.first()
    assert (newest.access_from, newest.history_user) == (None, keeper_person)


def test_stopped_people_are_out_at_once(keeper, keeper_person, cast: Cast, api, client):
    _, token = AuthToken.objects.create(user=cast.owner)
    client.force_login(cast.owner, backend=BACKEND)
    assert client.get("/").status_code == 200
    assert "1 token given up" in done(keeper, User, "stop_signing_in", cast.owner)
    api.credentials(HTTP_AUTHORIZATION=f"Bearer {token}")
    assert api.get("/api/v1/clients/").status_code == 401
    assert client.get("/").status_code == 302
    assert logged(cast.owner)
    assert cast.owner.history.first().history_user == keeper_person


def test_nobody_stops_themselves(keeper, keeper_person, cast: Cast):
    _, _ = AuthToken.objects.create(user=cast.owner)
    said = done(keeper, User, "stop_signing_in", cast.owner, keeper_person)
    assert "stop yourself" in said.replace("&#x27;", "'")
    cast.owner.refresh_from_db()
    assert cast.owner.is_active
    assert AuthToken.objects.exists()
    assert logged(cast.owner) == []


def test_weather_fetched_again_replaces_what_was_typed_in_and_leaves_what_does_not_come(keeper, cast: Cast):
    cell = a_cell(1)
    typed = ObservedDay.objects.create(
        cell=cell,
        date=TODAY - timedelta(days=2),
        t_min_c=50,
        t_max_c=60,
        rain_mm=400,
        quality=Quality.STATION,
    )
    old = ObservedDay.objects.create(cell=cell, date=TODAY - timedelta(days=90), rain_mm=7)
    asked = chosen(keeper, WeatherCell, "fetch_again", cell).content.decode()
    assert "entered by hand: 1 day." in asked
    done(keeper, WeatherCell, "fetch_again", cell)
    now = ObservedDay.objects.get(cell=cell, date=typed.date)
    assert now.quality == Quality.INVENTED
    assert now.rain_mm < 400
    assert ObservedDay.objects.filter(pk=old.pk, rain_mm=7).exists()
    assert ObservedDay.objects.filter(cell=cell).count() == 31
    assert FetchDay.objects.get(cell=cell, date=TODAY).state == "done"
    assert logged(cell)


def test_a_source_that_refuses_costs_no_weather(keeper, cast: Cast, settings, httpserver):
    httpserver.expect_request("/").respond_with_json({"error": True, "reason": "not today"}, status=400)
    settings.WEATHER_SOURCE = "open-meteo"
    settings.OPEN_METEO_URL = settings.OPEN_METEO_ARCHIVE_URL = httpserver.url_for("/")
    cell = a_cell(1)
    typed = ObservedDay.objects.create(cell=cell, date=TODAY - timedelta(days=2), t_min_c=5, t_max_c=6)
    done(keeper, WeatherCell, "fetch_again", cell)
    assert ObservedDay.objects.get(cell=cell) == typed
    assert httpserver.log
    assert FetchDay.objects.get(cell=cell).state in ("failed", "given_up")


def test_tonight_is_run_again_for_a_company(keeper, cast: Cast):
    part = NightlyRunCompany.objects.get()
    asked = chosen(keeper, NightlyRunCompany, "run_again", part).content.decode()
    assert "America/Los_Angeles" in asked
    assert "0 other companies" in asked
    before = NightlyRun.objects.get().started_at
    assert "run again in America/Los_Angeles" in done(keeper, NightlyRunCompany, "run_again", part)
    assert NightlyRun.objects.get().started_at > before
    assert logged(part)


def test_a_company_without_sites_has_no_night_to_run(keeper, cast: Cast):
    empty = Company.objects.create(name="New")
    part = NightlyRunCompany.objects.create(run=cast.run, company=empty)
    assert "no sites" in done(keeper, NightlyRunCompany, "run_again", part)
    assert logged(part) == []


def test_a_person_is_added_and_their_address_kept_in_lower_case(keeper):
    response = keeper.post(
        address(User, "add"),
        {
            "email": "New.Hand@Larkspur.test",
            "name": "New Hand",
            "usable_password": "true",
            "password1": "seven quiet egrets",
            "password2": "seven quiet egrets",
            "memberships-TOTAL_FORMS": 0,
            "memberships-INITIAL_FORMS": 0,
            "client_accesses-TOTAL_FORMS": 0,
            "client_accesses-INITIAL_FORMS": 0,
        },
    )
    assert response.status_code == 302
    assert User.objects.get_by_natural_key("NEW.hand@larkspur.test").check_password("seven quiet egrets")
