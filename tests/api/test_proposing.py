"""Advice over REST: proposed with one request, decided on as any other change."""

import pytest
from rest_framework.test import APIClient

from fleet.models import Membership, User
from scheduling.models import Change
from tests.night.garden import ON, Garden
from tests.scheduling.services import altered

pytestmark = pytest.mark.django_db


@pytest.fixture
def heron(settings) -> Garden:
    return altered.heron(settings)


@pytest.fixture
def asked(heron: Garden, api: APIClient) -> APIClient:
    api.force_authenticate(heron.owner)
    return api


def test_proposed_it_is_a_change_with_its_detail(heron: Garden, asked: APIClient):
    line = altered.dry_between(heron)
    [row] = asked.get("/api/v1/advice/").json()["results"]
    assert (row["becomes"], row["change"], row["change_status"]) == ("days", None, None)
    answer = asked.post(f"/api/v1/advice/{line.pk}/propose/")
    assert answer.status_code == 201
    said = answer.json()
    assert answer["Location"].endswith(f"/api/v1/changes/{said['id']}/")
    assert answer["ETag"] == asked.get(f"/api/v1/changes/{said['id']}/")["ETag"]
    assert (said["kind"], said["status"], said["program"]) == ("days", "pending", heron.program.pk)
    [program] = said["detail"]["programs"]
    assert (program["letter"], program["before"]["days"]) == ("A", "mon thu")
    assert (said["current"], said["proposed"], said["decided"]) == (100, 100, None)
    assert (said["effective_from"], said["run"]) == (ON.isoformat(), None)
    assert said["events"][0]["by"] == heron.owner.pk
    [row] = asked.get("/api/v1/advice/").json()["results"]
    assert (row["change"], row["change_status"]) == (said["id"], "pending")


def test_sent_again_it_is_the_same(heron: Garden, asked: APIClient):
    line = altered.dry_between(heron)
    first = asked.post(f"/api/v1/advice/{line.pk}/propose/", {"note": "As agreed."}, format="json")
    again = asked.post(f"/api/v1/advice/{line.pk}/propose/")
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json()["id"] == again.json()["id"]
    assert again.json()["events"][0]["note"] == "As agreed."


def test_the_list_takes_the_new_kinds(heron: Garden, asked: APIClient):
    line = altered.dry_between(heron)
    asked.post(f"/api/v1/advice/{line.pk}/propose/")
    for query, found in (("kind=days", 1), ("kind=minutes&kind=program", 0), ("kind=days&kind=percent", 1)):
        assert len(asked.get(f"/api/v1/changes/?{query}").json()["results"]) == found
    assert asked.get("/api/v1/changes/?kind=weeks").status_code == 400


def test_a_value_is_refused_by_its_field(heron: Garden, asked: APIClient):
    line = altered.dry_between(heron)
    pk = asked.post(f"/api/v1/advice/{line.pk}/propose/").json()["id"]
    answer = asked.post(f"/api/v1/changes/{pk}/approve/", {"value": 90}, format="json")
    assert answer.status_code == 400
    [error] = answer.json()["errors"]
    assert error["field"] == "value"
    assert "without a value" in error["message"]
    assert (
        asked.post(f"/api/v1/changes/{pk}/approve/", {"value": None}, format="json").json()["status"]
        == "approved"
    )
    applied = asked.post(f"/api/v1/changes/{pk}/apply/", {"applied_on": ON.isoformat()}, format="json")
    assert applied.json()["status"] == "applied"
    programs = asked.get(f"/api/v1/programs/?controller={heron.controller.pk}").json()["results"]
    assert {p["effective"] for p in programs} == {ON.isoformat(), heron.program.effective.isoformat()}


def test_what_no_longer_holds_is_a_conflict(heron: Garden, asked: APIClient):
    line = altered.dry_between(heron)
    altered.change_zone(heron.zones[1], soil="loam")
    answer = asked.post(f"/api/v1/advice/{line.pk}/propose/")
    assert (answer.status_code, answer.json()["current_status"]) == (409, "gone")
    assert not Change.objects.exists()


def test_a_technician_may_not_and_a_stranger_finds_nothing(heron: Garden, api: APIClient, stranger: User):
    line = altered.dry_between(heron)
    hand = User.objects.create_user("hand@heron.test", "three herons at dawn")
    Membership.objects.create(user=hand, company=heron.company, role="technician")
    for person, status in ((hand, 403), (stranger, 404)):
        api.force_authenticate(person)
        assert api.post(f"/api/v1/advice/{line.pk}/propose/").status_code == status
