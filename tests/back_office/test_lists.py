"""The back office: who gets in, what can't be touched there, and how much each list asks of the database."""

import pytest
from django.contrib import admin
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fleet.models import User
from scheduling.models import Change, ChangeEvent, NightlyRun, Program
from tests.cast import Cast, person
from tests.rows import MAKERS

pytestmark = pytest.mark.django_db
READ_ONLY = {"Change", "ChangeEvent", "Delivery", "NightlyRun", "NightlyRunCompany"}
REGISTERED = [m for m in admin.site._registry if m._meta.app_label in ("fleet", "scheduling")]


def address(model, page: str, *args: int) -> str:
    return reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_{page}", args=args)


@pytest.fixture
def keeper(client: Client, cast: Cast) -> Client:
    client.force_login(person("keeper@bluestem.test", is_staff=True, is_superuser=True), backend=BACKEND)
    return client


BACKEND = "django.contrib.auth.backends.ModelBackend"


def test_people_of_a_company_are_not_let_in(client, cast: Cast):
    for user in (cast.owner, cast.office, cast.technician, cast.client_person):
        client.force_login(user, backend=BACKEND)
        response = client.get(address(Change, "changelist"))
        assert response.status_code == 302
        assert response["Location"].startswith("/back-office/login/")


@pytest.mark.parametrize("model", REGISTERED, ids=lambda m: m.__name__)
def test_a_list_asks_as_much_for_fifty_rows_as_for_five(keeper, cast: Cast, model):
    make = MAKERS[model]
    counts = []
    for rows in (range(100, 105), range(105, 150)):
        for n in rows:
            make(cast, n)
        with CaptureQueriesContext(
            connection,
        ) as queries:
            response = keeper.get(address(model, "changelist"))
        assert response.status_code == 200
        counts.append(len(queries))
    assert counts[0] == counts[1], [q["sql"] for q in queries.captured_queries][-10:]
    assert len(response.context["cl"].result_list) >= 50


@pytest.mark.parametrize("model", REGISTERED, ids=lambda m: m.__name__)
def test_every_list_is_searched_and_every_row_opens(keeper, cast: Cast, model):
    row = MAKERS[model](cast, 1)
    assert keeper.get(address(model, "changelist"), {"q": "larkspur"}).status_code == 200
    assert keeper.get(address(model, "change", row.pk)).status_code == 200
    assert keeper.get(address(model, "add")).status_code == (403 if model.__name__ in READ_ONLY else 200)


def test_what_is_recorded_is_neither_added_nor_changed_nor_deleted(keeper, cast: Cast):
    ChangeEvent.objects.create(change=cast.change, to_status="pending")
    for model in (m for m in REGISTERED if m.__name__ in READ_ONLY):
        row = model.objects.first() or MAKERS[model](cast, 1)
        assert keeper.post(address(model, "change", row.pk), {"status": "applied"}).status_code == 403
        assert keeper.post(address(model, "delete", row.pk), {"post": "yes"}).status_code == 403
        bulk = {"action": "delete_selected", "_selected_action": [row.pk], "post": "yes"}
        keeper.post(address(model, "changelist"), bulk)
        assert model.objects.filter(pk=row.pk).exists()
    cast.change.refresh_from_db()
    assert cast.change.status == "pending"


def test_a_program_with_changes_is_not_deleted_with_them(keeper, cast: Cast):
    keeper.post(address(Program, "delete", cast.program.pk), {"post": "yes"})
    assert Change.objects.filter(pk=cast.change.pk).exists()
    assert NightlyRun.objects.filter(pk=cast.run.pk).exists()


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
