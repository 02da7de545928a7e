"""Reading changes over REST."""

from datetime import date

import pytest
from knox.models import AuthToken
from rest_framework.test import APIClient

from common.pagination import CursorPages
from tests.cast import TODAY, Cast, a_change, a_program, a_skip, a_zone

pytestmark = pytest.mark.django_db
URL = "/api/v1/changes/"
FIELDS = {
    "id", "program", "program_name", "client", "client_name", "site", "site_name", "controller",
    "controller_name", "whole_controller", "kind", "status", "current", "proposed", "decided",
    "detail",
    "effective_from", "effective_to", "reason", "hints", "effect", "risk", "deciding_zone",
    "deciding_zone_name", "decided_by", "decided_by_name", "decided_at", "applied_at", "applied_on", "run",
    "automatic",
}  # fmt: skip


def ids(api: APIClient, query: str = "") -> list[int]:
    response = api.get(URL + query)
    assert response.status_code == 200, response.json()
    return [row["id"] for row in response.json()["results"]]


def test_a_change_is_listed_with_every_field_of_the_contract(api, cast: Cast):
    api.force_authenticate(cast.technician)
    page = api.get(URL).json()
    assert set(page) == {"next", "previous", "results"}
    (row,) = page["results"]
    assert set(row) == FIELDS
    assert row["program"] == cast.program.pk
    assert row["program_name"] == "Program A"
    assert row["client"] == cast.client.pk
    assert row["client_name"] == "School of Larkspur Irrigation"
    assert row["site"] == cast.site.pk
    assert row["controller"] == cast.controller.pk
    assert row["kind"] == "percent"
    assert row["status"] == "pending"
    assert (row["current"], row["proposed"], row["decided"]) == (100, 85, None)
    assert (row["effective_from"], row["effective_to"]) == ("2026-07-06", None)
    assert row["effect"] == {"litres": -8200.0, "money": -21.4, "currency": "USD"}
    assert row["risk"] == {"keep": "none", "change": "none"}
    assert row["deciding_zone"] == cast.zone.pk
    assert row["deciding_zone_name"] == "1 Bed 1"
    assert row["run"] == cast.run.pk
    assert row["automatic"] is False
    assert row["decided_by"] is row["decided_at"] is row["applied_at"] is None


def test_money_is_a_number_and_not_a_text(api, cast: Cast):
    api.force_authenticate(cast.owner)
    assert b'"money":-21.4,' in api.get(URL).content


def test_the_detail_adds_the_inputs_and_the_events(api, cast: Cast):
    api.force_authenticate(cast.office)
    api.post(f"{URL}{cast.change.pk}/approve/", {"value": 80, "note": "Lawn looks fine."}, format="json")
    detail = api.get(f"{URL}{cast.change.pk}/").json()
    assert set(detail) == FIELDS | {"inputs", "events"}
    assert detail["inputs"] == {"horizon_days": 7}
    (event,) = detail["events"]
    at = event.pop("at")
    assert at.endswith("Z")
    assert event == {
        "from": "pending",
        "to": "approved",
        "by": cast.office.pk,
        "by_name": "Office of Larkspur Irrigation",
        "value": 80,
        "note": "Lawn looks fine.",
    }


def test_a_list_does_not_carry_the_bulky_inputs(api, cast: Cast):
    api.force_authenticate(cast.owner)
    assert "inputs" not in api.get(URL).json()["results"][0]


def test_newest_changes_come_first(api, cast: Cast):
    newer = a_skip(cast.program)
    api.force_authenticate(cast.owner)
    assert ids(api) == [newer.pk, cast.change.pk]


def test_each_filter_keeps_what_it_names(api, cast: Cast):
    skip = a_skip(cast.program, effective_from=date(2026, 7, 8), effective_to=date(2026, 7, 9))
    api.force_authenticate(cast.owner)
    both, percent = [skip.pk, cast.change.pk], [cast.change.pk]
    assert ids(api, "?status=pending") == both
    assert ids(api, "?status=approved") == []
    assert ids(api, "?status=approved&status=pending") == both
    assert ids(api, "?kind=percent") == percent
    assert ids(api, "?kind=rain_skip&kind=freeze_skip") == [skip.pk]
    assert ids(api, f"?client={cast.client.pk}&site={cast.site.pk}&controller={cast.controller.pk}") == both
    assert ids(api, f"?program={cast.program.pk}") == both
    assert ids(api, f"?program={cast.program.pk + 1}") == []
    assert ids(api, f"?run={cast.run.pk}") == percent
    assert ids(api, "?automatic=false") == both
    assert ids(api, "?automatic=true") == []
    assert ids(api, "?effective_from_after=2026-07-07") == [skip.pk]
    assert ids(api, "?effective_from_before=2026-07-07") == percent
    assert ids(api, "?effective_from_after=2026-07-06&effective_from_before=2026-07-08") == both


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("?status=done", "status"),
        ("?kind=percent&kind=snow", "kind"),
        ("?client=me", "client"),
        ("?client=0", "client"),
        ("?program=99999999999999999999", "program"),
        ("?automatic=perhaps", "automatic"),
        ("?effective_from_after=07/06/2026", "effective_from_after"),
        ("?site=%00", "site"),
        ("?site=", "site"),
        ("?effective_from_after=", "effective_from_after"),
        ("?page_size=many", "page_size"),
        ("?page_size=0", "page_size"),
        ("?page_size=-5", "page_size"),
        ("?cursor=abc", "cursor"),
        ("?cursor=cD1hYmM=", "cursor"),  # position "abc"
        ("?cursor=cD05OTk5OTk5OTk5OTk5OTk5OTk5OTk5OTk5OTk5OQ==", "cursor"),
    ],
)
def test_a_filter_that_makes_no_sense_is_refused_by_name(api, cast: Cast, query, field):
    api.force_authenticate(cast.owner)
    response = api.get(URL + query)
    assert response.status_code == 400
    assert response["Content-Type"] == "application/problem+json"
    assert [e["field"] for e in response.json()["errors"]] == [field]


def test_pages_follow_each_other_by_cursor(api, cast: Cast):
    changes = [cast.change.pk] + [a_change(a_program(cast.controller, letter)).pk for letter in "BCDE"]
    api.force_authenticate(cast.owner)
    first = api.get(f"{URL}?page_size=2").json()
    second = api.get(first["next"]).json()
    third = api.get(second["next"]).json()
    seen = [row["id"] for page in (first, second, third) for row in page["results"]]
    assert seen == changes[::-1]
    assert first["previous"] is None
    assert third["next"] is None
    assert api.get(second["previous"]).json()["results"] == first["results"]


def test_strangers_and_clients_get_an_empty_list_and_no_change(api, cast: Cast, stranger):
    for person in (stranger, cast.client_person):
        api.force_authenticate(person)
        assert ids(api) == []
        assert ids(api, f"?client={cast.client.pk}&program={cast.program.pk}&run={cast.run.pk}") == []
        assert api.get(f"{URL}{cast.change.pk}/").status_code == 404


def test_a_token_costs_two_queries_more(api, cast: Cast, django_assert_num_queries):
    _, token = AuthToken.objects.create(user=cast.owner)
    with django_assert_num_queries(4):  # the token with its person, their other tokens, then as above
        assert api.get(URL, headers={"Authorization": f"Bearer {token}"}).status_code == 200


def test_a_page_holds_five_hundred_rows_at_most(api, cast: Cast):
    api.force_authenticate(cast.owner)
    assert len(ids(api, "?page_size=999999999999")) == 1
    assert CursorPages.max_page_size == 500


def test_a_list_takes_as_many_queries_for_fifty_rows_as_for_one(api, cast: Cast, django_assert_num_queries):
    api.force_authenticate(cast.owner)
    with django_assert_num_queries(2):  # the person's companies, the changes
        assert len(ids(api)) == 1
    for number in range(49):
        program = a_program(cast.controller, f"{number:02}")
        a_change(program, deciding_zone=a_zone(cast.controller, number + 2), run=cast.run)
    api.force_authenticate(type(cast.owner).objects.get(pk=cast.owner.pk))
    with django_assert_num_queries(2):
        assert len(ids(api)) == 50


def test_a_detail_takes_three_queries(api, cast: Cast, django_assert_num_queries):
    api.force_authenticate(cast.owner)
    with django_assert_num_queries(3):  # companies, the change, its events with who made them
        assert api.get(f"{URL}{cast.change.pk}/").status_code == 200


def test_a_skip_has_nights_and_no_percents(api, cast: Cast):
    skip = a_skip(cast.program)
    api.force_authenticate(cast.owner)
    row = api.get(f"{URL}{skip.pk}/").json()
    assert (row["kind"], row["current"], row["proposed"]) == ("rain_skip", None, None)
    assert (row["effective_from"], row["effective_to"]) == (TODAY.isoformat(), TODAY.isoformat())
