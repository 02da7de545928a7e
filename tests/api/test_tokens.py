"""Tokens for scripts."""

from datetime import timedelta

import pytest
import time_machine
from django.core.cache import cache
from django.utils import timezone
from django.utils.dateparse import parse_datetime
from knox.models import AuthToken

from tests.cast import PASSWORD, Cast

pytestmark = pytest.mark.django_db
URL = "/api/v1/token/"


@pytest.fixture(autouse=True)
def no_requests_yet():
    cache.clear()
    yield
    cache.clear()


def ask(api, email="office@larkspur.test", password=PASSWORD, **extra):
    return api.post(URL, {"email": email, "password": password}, format="json", **extra)


def signed(token: str) -> dict[str, str]:
    return {"Authorization": f"Bearer {token}"}


def test_a_token_signs_requests(api, cast: Cast):
    answer = ask(api)
    assert answer.status_code == 200
    assert set(answer.json()) == {"token", "expires_at"}
    rows = api.get("/api/v1/changes/", headers=signed(answer.json()["token"])).json()["results"]
    assert [row["id"] for row in rows] == [cast.change.pk]


def test_a_token_ends_after_ninety_days(api, cast: Cast):
    start = timezone.now()
    answer = ask(api).json()
    expires = parse_datetime(answer["expires_at"])
    assert expires is not None
    assert timedelta(days=89, hours=23) < expires - start < timedelta(days=90, hours=1)
    with time_machine.travel(expires + timedelta(seconds=1)):
        assert api.get("/api/v1/changes/", headers=signed(answer["token"])).status_code == 401


def test_the_address_may_be_written_in_any_case(api, cast: Cast):
    assert ask(api, email="Office@LARKSPUR.test").status_code == 200


@pytest.mark.parametrize(
    ("email", "password"), [("office@larkspur.test", "wrong"), ("nobody@larkspur.test", PASSWORD)]
)
def test_a_wrong_password_and_an_unknown_address_get_the_same_answer(api, cast: Cast, email, password):
    answer = ask(api, email=email, password=password)
    assert answer.status_code == 401
    assert answer["Content-Type"] == "application/problem+json"
    assert answer["WWW-Authenticate"] == "Bearer"
    assert answer.json()["detail"] == "The e-mail address or the password is wrong."


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"password": "x"}, "email"),
        ({"email": "office", "password": "x"}, "email"),
        ({"email": "office@larkspur.test"}, "password"),
        ({"email": "a\x00@larkspur.test", "password": "x"}, "email"),
        ({"email": "office@larkspur.test", "password": "\x00"}, "password"),
        ({"email": "office@larkspur.test", "password": "x", "remember": True}, "remember"),
    ],
)
def test_what_is_missing_or_malformed_is_named(api, cast: Cast, body, field):
    answer = api.post(URL, body, format="json")
    assert answer.status_code == 400
    assert {e["field"] for e in answer.json()["errors"]} == {field}


def test_a_person_who_left_gets_no_token_and_keeps_none(api, cast: Cast):
    token = ask(api).json()["token"]
    cast.office.is_active = False
    cast.office.save(update_fields=["is_active"])
    assert ask(api).status_code == 401
    assert api.get("/api/v1/changes/", headers=signed(token)).status_code == 401


def test_an_old_token_in_the_header_does_not_stop_a_new_one(api, cast: Cast):
    assert ask(api, headers=signed("0" * 64)).status_code == 200


def test_eight_wrong_passwords_lock_the_address_out_whatever_its_case(api, cast: Cast):
    tries = ["office@larkspur.test", "OFFICE@larkspur.test"] * 4
    answers = [ask(api, email=email, password="wrong").status_code for email in tries]
    assert answers == [401] * 7 + [429]
    locked = ask(api)
    assert locked.status_code == 429
    assert locked["Content-Type"] == "application/problem+json"
    assert locked["Retry-After"] == "900"
    assert ask(api, email="owner@larkspur.test").status_code == 200


def test_a_right_password_forgets_the_wrong_ones_before_it(api, cast: Cast):
    for _ in range(7):
        ask(api, password="wrong")
    assert ask(api).status_code == 200
    assert ask(api, password="wrong").status_code == 401
    assert ask(api).status_code == 200


def test_the_back_office_locks_out_as_well(client, cast: Cast):
    for _ in range(8):
        client.post("/back-office/login/", {"username": "Office@larkspur.test", "password": "wrong"})
    answer = client.post("/back-office/login/", {"username": "office@larkspur.test", "password": PASSWORD})
    assert answer.status_code == 429


def test_one_address_may_not_ask_without_end(api, cast: Cast):
    bodies = [
        ask(api, email=f"p{n}@larkspur.test", headers={"X-Forwarded-For": f"10.0.0.{n}"}) for n in range(61)
    ]
    assert [b.status_code for b in bodies] == [401] * 60 + [429]
    assert int(bodies[-1]["Retry-After"]) > 0


def test_a_token_is_given_up_by_the_request_it_signs(api, cast: Cast):
    mine, other = ask(api).json()["token"], ask(api).json()["token"]
    assert api.delete(URL, headers=signed(mine)).status_code == 204
    assert api.get("/api/v1/changes/", headers=signed(mine)).status_code == 401
    assert api.get("/api/v1/changes/", headers=signed(other)).status_code == 200


def test_a_request_without_a_token_has_none_to_give_up(api, cast: Cast):
    assert api.delete(URL).status_code == 401
    api.force_login(cast.office, backend="django.contrib.auth.backends.ModelBackend")
    assert api.delete(URL).status_code == 400


def test_only_a_digest_of_the_token_is_stored(api, cast: Cast):
    token = ask(api).json()["token"]
    row = AuthToken.objects.get()
    assert token not in (row.digest, row.token_key)
