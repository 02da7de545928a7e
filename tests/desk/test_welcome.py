"""A link lets one person in, once, for a week; it never opens an account that exists."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone as real_time

from fleet.models import Invitation, Membership, User
from fleet.services.people import invite, token_of, withdraw
from tests.cast import PASSWORD, Cast, person

FORM = {"name": "Kim Alder", "password": "a heron at noon", "again": "a heron at noon"}


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


@pytest.fixture
def invitation(cast: Cast) -> Invitation:
    return invite(by=cast.owner, company_id=cast.company.pk, email="kim@larkspur.test", role="technician")


@pytest.fixture
def link(invitation: Invitation) -> str:
    return f"/welcome/{token_of(invitation)}/"


def test_somebody_new_chooses_a_password_and_is_in(cast: Cast, client: Client, link: str):
    assert "Larkspur Irrigation asks you to join" in text(client.get(link))
    assert client.post(link, FORM)["Location"] == "/"
    assert Membership.objects.get(user__email="kim@larkspur.test").role == "technician"
    assert client.get("/").status_code == 200
    assert User.objects.get(email="kim@larkspur.test").check_password(FORM["password"])


def test_it_is_good_once(client: Client, link: str):
    client.post(link, FORM)
    for again in (
        Client().get(link),
        Client().post(link, {**FORM, "password": "another", "again": "another"}),
    ):
        assert again.status_code == 404
        assert "opens nothing any more" in text(again)
    assert User.objects.get(email="kim@larkspur.test").check_password(FORM["password"])


def test_it_is_over_after_a_week_or_when_called_off(cast: Cast, client: Client, link, invitation):
    Invitation.objects.update(expires_at=real_time.now() - timedelta(seconds=1))
    assert client.post(link, FORM).status_code == 404
    Invitation.objects.update(expires_at=real_time.now() + timedelta(days=1))
    withdraw(invitation=invitation, by=cast.owner)
    assert client.post(link, FORM).status_code == 404
    assert not User.objects.filter(email="kim@larkspur.test").exists()


def test_a_forged_link_opens_nothing(client: Client, invitation: Invitation):
    good = token_of(invitation)
    for token in (
        str(invitation.pk),
        f"{invitation.pk}:x",
        good[:-1],
        f"{invitation.pk + 1}{good[1:]}",
        "🌱",
    ):
        assert client.get(f"/welcome/{token}/").status_code == 404


def test_an_account_that_exists_is_not_opened_by_a_link(cast: Cast, client: Client, link: str):
    kim = person("kim@larkspur.test")
    assert "signs in here already" in text(client.get(link))
    answer = client.post(link, FORM)
    assert answer.status_code == 403
    kim.refresh_from_db()
    assert kim.check_password(PASSWORD)
    assert not Membership.objects.filter(user=kim).exists()
    client.force_login(kim, backend="django.contrib.auth.backends.ModelBackend")
    assert client.post(link)["Location"] == "/"
    assert Membership.objects.get(user=kim).role == "technician"


def test_it_is_for_one_person(cast: Cast, signed_in, stranger, link: str):
    web = signed_in(stranger)
    assert "This link is for kim@larkspur.test" in text(web.get(link))
    assert web.post(link).status_code == 403
    assert not Membership.objects.filter(user=stranger, company=cast.company).exists()
    assert Invitation.objects.get().used_at is None


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "K" * 10_000}, "name"),
        ({"name": "Ki\0m"}, "name"),
        ({"password": "short", "again": "short"}, "password"),
        ({"password": "12345678", "again": "12345678"}, "password"),
        ({"password": "x" * 10_000, "again": "x" * 10_000}, "password"),
        ({"again": "something else"}, "again"),
    ],
)
def test_what_cannot_be_taken_is_said_by_its_field(client: Client, link: str, typed, field):
    answer = client.post(link, {**FORM, **typed})
    assert answer.status_code == 422
    assert answer.context["error"].field == field
    assert answer.context["name"] == {**FORM, **typed}["name"].replace("\0", "")
    assert client.post(link, FORM).status_code == 302
