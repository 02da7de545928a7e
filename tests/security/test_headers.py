"""What every answer says about itself, whatever it answers and to whom."""

import re
from typing import Any

import pytest

from fleet.models import User
from tests.cast import PASSWORD, Cast
from tests.tenancy.addresses import BACKEND, everything
from tests.tenancy.place import Place
from tests.tenancy.test_every_address import Reader

# Every address is opened for every reader; what its answer says of itself comes from no database.
pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]

POLICY = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "base-uri": "'none'",
    "form-action": "'self'",
    "frame-ancestors": "'none'",
    "object-src": "'none'",
}
# Answers that aren't pages of ours: a letter as a mail program shows it, pictures. Nothing runs in them.
STRICTER = dict.fromkeys(("default-src", "base-uri", "form-action", "frame-ancestors"), "'none'")
OWN = {
    "/summaries/<int:pk>/letter/": STRICTER | {"style-src": "'unsafe-inline'", "img-src": "data:"},
    "/photos/<int:pk>/full.jpg": STRICTER | {"sandbox": ""},
    "/photos/<int:pk>/small.jpg": STRICTER | {"sandbox": ""},
}
WRITTEN_IN = re.compile(r"<script(?![^>]*\bsrc=)(?![^>]*application/json)|<style|\son\w+=|\sstyle=", re.I)
SCRIPTS = re.compile(r"<script|\son\w+=", re.I)
HEADERS = {
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
}


def policy_of(answer: Any) -> dict[str, str]:
    parts = [part.strip().partition(" ") for part in answer["Content-Security-Policy"].split(";")]
    return {name: value for name, _, value in parts}


def wanting(answer: Any, route: str = "") -> list[str]:
    """Return what an answer fails to say."""
    if "Content-Security-Policy" not in answer:
        return ["Content-Security-Policy"]
    policy = policy_of(answer)
    own = OWN.get(route)
    if own is not None and answer.status_code == 200:
        found = [name for name in policy.keys() | own.keys() if policy.get(name) != own.get(name)]
    else:
        found = [name for name, value in POLICY.items() if policy.get(name) != value]
    return found + [name for name, value in HEADERS.items() if answer.headers.get(name) != value]


def stopped(answer: Any, route: str) -> str:
    """Return the first script or style of a page that its policy would stop."""
    if not answer.headers.get("Content-Type", "").startswith("text/html"):
        return ""
    styled = "style-src" in OWN.get(route, {}) and answer.status_code == 200
    found = (SCRIPTS if styled else WRITTEN_IN).search(answer.content.decode())
    return found[0] if found else ""


def answers(browser: Reader) -> dict[str, Any]:
    return {address.route: browser.get(address.url) for address in everything()}


@pytest.fixture
def browsers(place: Place) -> dict[str, Reader]:
    keeper = User.objects.create_superuser("keeper@bluestem.test", PASSWORD)
    made = {"nobody": Reader(raise_request_exception=False)}
    for name, user in (("owner", place.owner), ("reader", place.reader), ("keeper", keeper)):
        made[name] = Reader(raise_request_exception=False)
        made[name].force_login(user, backend=BACKEND)
    return made


@pytest.mark.parametrize("who", ["nobody", "owner", "reader", "keeper"])
def test_every_address_says_what_may_run_and_has_nothing_that_would_be_stopped(browsers, who):
    """Also who may frame it and what others learn."""
    found = answers(browsers[who])
    assert {route: lacks for route, answer in found.items() if (lacks := wanting(answer, route))} == {}
    assert {route for route, answer in found.items() if answer.status_code >= 500} == set()
    assert {route: stops for route, answer in found.items() if (stops := stopped(answer, route))} == {}


@pytest.mark.parametrize(
    "address", ["/nowhere/", "/api/v1/nowhere/", "/static/nowhere.css", "/%00/", "/../etc"]
)
def test_an_address_that_is_none_says_it_too(client, address):
    answer = client.get(address)
    assert answer.status_code in (302, 404)
    assert wanting(answer) == []


def test_a_refused_form_says_it_too():
    browser = Reader(enforce_csrf_checks=True)
    answer = browser.post("/sign-in/", {"email": "a@b.test", "password": "x"})
    assert answer.status_code == 403
    assert wanting(answer) == []


def test_the_session_is_out_of_reach_of_scripts_and_other_sites(client, cast: Cast):
    client.post("/sign-in/", {"email": cast.owner.email, "password": PASSWORD})
    session = client.cookies["sessionid"]
    assert session["httponly"]
    assert session["samesite"] == "Lax"
    assert client.get("/").status_code == 200


def test_the_session_changes_when_somebody_signs_in(client, cast: Cast):
    client.post("/sign-in/", {"email": cast.technician.email, "password": PASSWORD})
    first = client.cookies["sessionid"].value
    client.post("/sign-in/", {"email": cast.owner.email, "password": PASSWORD})
    client.post("/sign-out/")
    client.post("/sign-in/", {"email": cast.owner.email, "password": PASSWORD})
    assert client.cookies["sessionid"].value != first


def test_an_answer_of_the_api_sets_no_cookie_and_names_no_software(api, cast: Cast):
    token = api.post(
        "/api/v1/token/", {"email": cast.owner.email, "password": PASSWORD}, format="json"
    ).json()["token"]
    api.credentials(HTTP_AUTHORIZATION=f"Bearer {token}")
    answer = api.get("/api/v1/clients/")
    assert answer.status_code == 200
    assert not answer.cookies
    assert not {"Server", "X-Powered-By"} & set(answer.headers)
