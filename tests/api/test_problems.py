"""Whatever goes wrong under /api/ comes as problem details, and never as a fault of ours."""

import json

import pytest
from django.test import Client

from config.problems import problem
from tests.cast import Cast

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # asks nothing that databases answer differently
KEYS = {"type", "title", "status", "detail", "errors"}
APPROVE = "/api/v1/changes/{}/approve/"


def check(response, status: int) -> dict:
    assert response.status_code == status, response.content
    assert response["Content-Type"] == "application/problem+json"
    body = json.loads(response.content)
    assert set(body) == KEYS
    assert body["status"] == status
    return body


@pytest.fixture
def office(client: Client, cast: Cast) -> Client:
    client.force_login(cast.office, backend="django.contrib.auth.backends.ModelBackend")
    return client


def test_without_a_token_the_answer_says_how_to_sign(client, cast):
    response = client.get("/api/v1/changes/")
    check(response, 401)
    assert response["WWW-Authenticate"] == "Bearer"


@pytest.mark.parametrize(
    "header",
    [
        "Bearer",
        "Bearer no-such-token",
        "Bearer a b",
        "Bearer " + "0" * 64,
        "Bearer \xff\xfe\xfd" + "0" * 20,
        "Bearer " + "0" * 20 + "\x00",
        "Bearer " + "f" * 100_000,
    ],
)
def test_a_token_that_is_none_is_refused(client, cast, header):
    check(client.get("/api/v1/changes/", headers={"Authorization": header}), 401)


@pytest.mark.parametrize(
    "address",
    [
        "/api/",
        "/api/v2/changes/",
        "/api/v1/changes/abc/",
        "/api/v1/changes/-1/",
        "/api/v1/changes/1.5/",
        "/api/v1/changes/" + "9" * 5000 + "/",
        "/api/v1/changes/1/paint/",
        "/api/v1/changes/%00/",
        "/api/v1/changes/../../../etc/passwd",
    ],
)
def test_an_address_that_does_not_exist_is_a_problem_too(client, address):
    assert check(client.get(address), 404)["title"] == "Not Found"


@pytest.mark.parametrize("number", [0, 10**6, 2**63 - 1, 2**63, 2**64, 10**40])
@pytest.mark.parametrize("kind", ["changes", "nightly-runs", "controllers"])
def test_a_number_that_names_nothing_is_not_found(office, kind, number):
    check(office.get(f"/api/v1/{kind}/{number}/"), 404)


def test_a_reader_without_the_closing_slash_is_led_on(office):
    response = office.get("/api/v1/changes?kind=percent")
    assert (response.status_code, response["Location"]) == (302, "/api/v1/changes/?kind=percent")
    assert "slash" in check(office.post("/api/v1/token"), 404)["detail"]


def test_a_method_that_is_not_offered_says_which_are(office, change):
    response = office.put(f"/api/v1/changes/{change.pk}/", {}, "application/json")
    check(response, 405)
    assert response["Allow"] == "GET, HEAD, OPTIONS"
    check(office.delete("/api/v1/changes/"), 405)
    check(office.get(APPROVE.format(change.pk)), 405)


@pytest.mark.parametrize("address", ["/api/v1/changes/", "/api/v1/", "/api/v1/schema/"])
def test_an_answer_nobody_can_give_is_refused_in_json(office, address):
    check(office.get(address, headers={"Accept": "image/png"}), 406)


@pytest.mark.parametrize(
    "media_type",
    [
        "text/plain",
        "application/x-www-form-urlencoded",
        "multipart/form-data; boundary=x",
        "application/json; charset=rot13",
        "application/json; charset=hex",
        "application/json; charset=utf-16",
        "nonsense",
    ],
)
def test_a_body_that_is_no_json_is_refused(office, change, media_type):
    check(office.generic("POST", APPROVE.format(change.pk), b'{"value": 80}', media_type), 415)


@pytest.mark.parametrize(
    "body",
    [
        b"{",
        b"\xff\xfe",
        b'{"value": NaN}',
        b'{"value": 1e999}',
        b'{"value": ' + b"9" * 5000 + b"}",
        b"[" * 100_000,
        b'{"value":' * 5000,
        b"[]",
        b'"approve"',
        b"null",
        b"17",
        b'{"note": "\\u0000"}',
        b'{"note": "\\ud800"}',
        b'{"note": {"a": 1}}',
        b'{"": 1}',
        b'{"value": "\\u0000"}',
    ],
)
def test_a_broken_body_is_the_senders_mistake(office, change, body):
    check(office.generic("POST", APPROVE.format(change.pk), body, "application/json"), 400)
    change.refresh_from_db()
    assert change.status == "pending"


def test_a_body_that_is_too_long_is_not_read(office, change, settings):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 100
    check(office.post(APPROVE.format(change.pk), {"note": "x" * 200}, "application/json"), 413)


def test_every_wrong_field_is_named(office, change):
    body = check(
        office.post(APPROVE.format(change.pk), {"value": "a", "note": 7.5, "x": 1}, "application/json"), 400
    )
    assert [e["field"] for e in body["errors"]] == ["x"]
    body = check(office.post(APPROVE.format(change.pk), {"value": "a", "note": []}, "application/json"), 400)
    assert [e["field"] for e in body["errors"]] == ["value", "note"]
    assert body["detail"] == "value: A valid integer is required. note: Not a valid string."


def test_an_unknown_address_is_one_whatever_is_sent_there(cast):
    careful = Client(enforce_csrf_checks=True)
    for method in ("POST", "PUT", "PATCH", "DELETE", "OPTIONS"):
        check(careful.generic(method, "/api/v1/changes/-1/approve/", b"{}", "application/json"), 404)


def test_a_session_needs_its_cross_site_token(cast, change):
    careful = Client(enforce_csrf_checks=True)
    careful.force_login(cast.office, backend="django.contrib.auth.backends.ModelBackend")
    check(careful.post(APPROVE.format(change.pk), {}, "application/json"), 403)


def test_a_fault_of_ours_is_a_problem_as_well(cast, monkeypatch):
    quiet = Client(raise_request_exception=False)
    quiet.force_login(cast.office, backend="django.contrib.auth.backends.ModelBackend")

    def broken(user):
        raise RuntimeError("a disk is full")

    monkeypatch.setattr("scheduling.api.changes.changes_for", broken)
    body = check(quiet.get("/api/v1/changes/"), 500)
    assert "disk" not in body["detail"]


def test_pages_outside_the_interface_keep_their_own_errors(client):
    assert client.get("/no/such/page/")["Content-Type"].startswith("text/html")


def test_a_problem_names_the_status_in_words():
    assert problem(409, "Too late.", current_status="applied") == {
        "type": "about:blank",
        "title": "Conflict",
        "status": 409,
        "detail": "Too late.",
        "errors": [],
        "current_status": "applied",
    }
