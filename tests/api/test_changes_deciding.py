"""Approving, declining, entering and taking back over REST."""

from datetime import date, timedelta

import pytest

from scheduling.models import Change, ChangeEvent, Delivery, Setting, Skip
from tests.cast import TODAY, Cast, a_change, a_skip

pytestmark = pytest.mark.django_db


@pytest.fixture
def say(api, cast: Cast):
    """Say something to a change as a person: ``say(person, change, "approve", value=80)``."""

    def post(person, change: Change, verb: str, **body):
        api.force_authenticate(person)
        return api.post(f"/api/v1/changes/{change.pk}/{verb}/", body, format="json")

    return post


def test_approving_takes_the_proposed_percent(say, cast: Cast):
    response = say(cast.office, cast.change, "approve")
    assert response.status_code == 200
    answer = response.json()
    assert (answer["status"], answer["decided"], answer["automatic"]) == ("approved", 85, False)
    assert (answer["decided_by"], answer["decided_by_name"]) == (
        cast.office.pk,
        "Office of Larkspur Irrigation",
    )
    assert answer["decided_at"].endswith("Z")
    assert answer["applied_at"] is None
    assert [e["to"] for e in answer["events"]] == ["approved"]


def test_approving_puts_the_change_on_its_way(say, cast: Cast):
    say(cast.owner, cast.change, "approve")
    assert [(d.channel, d.state) for d in cast.change.deliveries.all()] == [("office", "waiting")]


def test_another_value_may_be_approved_with_a_note(say, cast: Cast):
    answer = say(cast.owner, cast.change, "approve", value=90, note="Party on Saturday.").json()
    assert (answer["proposed"], answer["decided"]) == (85, 90)
    assert (answer["events"][0]["value"], answer["events"][0]["note"]) == (90, "Party on Saturday.")


@pytest.mark.parametrize("value", [0, 5, 200])
def test_every_step_from_nothing_to_the_greatest_may_be_approved(say, cast: Cast, value):
    assert say(cast.owner, cast.change, "approve", value=value).json()["decided"] == value


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (83, "This controller holds steps of 5 %."),
        (205, "This controller takes 0 to 200 %."),
        (-5, "Ensure this value is greater than or equal to 0."),
        (10**30, "Ensure this value is less than or equal to 500."),
        ("a lot", "A valid integer is required."),
        ("85", "A valid integer is required."),
        (True, "A valid integer is required."),
        ([85], "A valid integer is required."),
        (85.5, "A valid integer is required."),
    ],
)
def test_a_value_the_controller_can_not_hold_is_refused(say, cast: Cast, value, words):
    response = say(cast.owner, cast.change, "approve", value=value)
    assert response.status_code == 400
    assert response.json()["errors"] == [{"field": "value", "message": words}]
    cast.change.refresh_from_db()
    assert cast.change.status == "pending"
    assert not ChangeEvent.objects.exists()


def test_a_misspelt_field_is_refused_and_nothing_approved(say, cast: Cast):
    response = say(cast.owner, cast.change, "approve", vaule=90)
    assert response.status_code == 400
    assert response.json()["errors"][0]["field"] == "vaule"
    cast.change.refresh_from_db()
    assert cast.change.status == "pending"


def test_a_skip_takes_no_value(say, cast: Cast):
    skip = a_skip(cast.program)
    response = say(cast.owner, skip, "approve", value=50)
    assert response.status_code == 400
    assert response.json()["errors"][0]["field"] == "value"
    answer = say(cast.owner, skip, "approve").json()
    assert (answer["status"], answer["decided"]) == ("approved", None)


def test_declining_needs_a_reason(say, cast: Cast):
    for body in ({}, {"note": ""}, {"note": "  \n"}, {"note": None}, {"note": 7}):
        response = say(cast.office, cast.change, "decline", **body)
        assert response.status_code == 400
        assert [e["field"] for e in response.json()["errors"]] == ["note"]
    answer = say(cast.office, cast.change, "decline", note="New sod, keep it wet.").json()
    assert (answer["status"], answer["decided"]) == ("declined", None)
    assert answer["events"][0]["note"] == "New sod, keep it wet."
    assert answer["decided_by"] == cast.office.pk


def test_a_note_is_at_most_a_thousand_characters(say, cast: Cast):
    assert say(cast.office, cast.change, "approve", note="x" * 1001).status_code == 400
    assert say(cast.office, cast.change, "approve", note="x" * 1000).status_code == 200


def test_entering_puts_the_percent_in_force_from_that_night(say, cast: Cast):
    say(cast.office, cast.change, "approve", value=80)
    answer = say(cast.technician, cast.change, "apply", applied_on="2026-07-05").json()
    assert (answer["status"], answer["applied_on"]) == ("applied", "2026-07-05")
    assert answer["applied_at"].endswith("Z")
    setting = Setting.objects.get()
    assert (setting.program, setting.percent, setting.how) == (cast.program, 80, "change")
    assert setting.effective_from == date(2026, 7, 5)
    assert setting.change == cast.change
    assert Delivery.objects.get().state == "done"
    assert [(e["from"], e["to"], e["value"]) for e in answer["events"]] == [
        ("pending", "approved", 80),
        ("approved", "applied", 80),
    ]


def test_entering_a_skip_keeps_its_own_nights(say, cast: Cast):
    skip = a_skip(cast.program, effective_to=TODAY + timedelta(days=1))
    say(cast.office, skip, "approve")
    assert say(cast.technician, skip, "apply", applied_on="2026-07-06").status_code == 200
    row = Skip.objects.get()
    assert (row.effective_from, row.effective_to) == (date(2026, 7, 6), date(2026, 7, 7))
    assert (row.reason, row.change) == ("Rain.", skip)
    assert not Setting.objects.exists()


@pytest.mark.parametrize(
    "applied_on", ["2026-03-31", "2026-08-07", "next Tuesday", "2026-02-30", "", None, 20260706, "07/06/2026"]
)
def test_a_night_that_can_not_be_is_refused(say, cast: Cast, applied_on):
    say(cast.office, cast.change, "approve")
    response = say(cast.technician, cast.change, "apply", applied_on=applied_on)
    assert response.status_code == 400
    assert [e["field"] for e in response.json()["errors"]] == ["applied_on"]
    assert not Setting.objects.exists()


def test_the_night_must_be_said(say, cast: Cast):
    say(cast.office, cast.change, "approve")
    assert say(cast.technician, cast.change, "apply").json()["errors"][0]["field"] == "applied_on"


def test_a_decision_is_taken_back_until_it_is_entered(say, cast: Cast):
    say(cast.office, cast.change, "approve", value=80)
    answer = say(cast.owner, cast.change, "undo").json()
    assert (answer["status"], answer["decided"], answer["decided_by"]) == ("pending", None, None)
    assert answer["decided_at"] is None
    assert Delivery.objects.get().state == "withdrawn"

    say(cast.office, cast.change, "decline", note="No.")
    assert say(cast.owner, cast.change, "undo", note="Yes after all.").json()["status"] == "pending"

    say(cast.office, cast.change, "approve")
    assert Delivery.objects.get().state == "waiting"
    say(cast.technician, cast.change, "apply", applied_on="2026-07-06")
    conflict = say(cast.owner, cast.change, "undo")
    assert conflict.status_code == 409
    assert conflict.json()["current_status"] == "applied"
    events = cast.change.events.values_list("from_status", "to_status")
    assert list(events) == [
        ("pending", "approved"),
        ("approved", "pending"),
        ("pending", "declined"),
        ("declined", "pending"),
        ("pending", "approved"),
        ("approved", "applied"),
    ]


def test_undoing_gives_way_to_a_newer_change_that_waits(say, cast: Cast):
    say(cast.office, cast.change, "approve")
    newer = a_change(cast.program, proposed=80)
    response = say(cast.office, cast.change, "undo")
    assert response.status_code == 409
    assert response.json()["current_status"] == "approved"
    newer.refresh_from_db()
    assert newer.status == "pending"


def test_an_older_approval_gives_way_when_a_newer_one_is_approved(say, cast: Cast):
    say(cast.office, cast.change, "approve")
    newer = a_change(cast.program, proposed=75)
    assert say(cast.office, newer, "approve").status_code == 200
    cast.change.refresh_from_db()
    assert cast.change.status == "superseded"
    assert cast.change.deliveries.get().state == "withdrawn"
    assert (
        say(cast.technician, cast.change, "apply", applied_on="2026-07-06").json()["current_status"]
        == "superseded"
    )


@pytest.mark.parametrize(
    ("verb", "body"),
    [("approve", {}), ("decline", {"note": "No."}), ("apply", {"applied_on": "2026-07-06"}), ("undo", {})],
)
def test_what_no_longer_fits_the_status_is_a_conflict_that_names_it(say, cast: Cast, verb, body):
    Change.objects.filter(pk=cast.change.pk).update(status="superseded")
    response = say(cast.owner, cast.change, verb, **body)
    assert response.status_code == 409
    assert response["Content-Type"] == "application/problem+json"
    assert response.json() == {
        "type": "about:blank",
        "title": "Conflict",
        "status": 409,
        "detail": "This change is replaced by a later one by now; nothing was overwritten.",
        "errors": [],
        "current_status": "superseded",
    }
    assert not ChangeEvent.objects.exists()


def test_a_skip_whose_night_is_over_is_a_conflict(say, cast: Cast):
    yesterday = TODAY - timedelta(days=1)
    skip = a_skip(cast.program, effective_from=yesterday, effective_to=yesterday)
    response = say(cast.owner, skip, "approve")
    assert response.status_code == 409
    assert response.json()["current_status"] == "pending"
    assert response.json()["detail"] == "The night of 2026-07-05 is over; nothing was changed."


def test_a_technician_enters_but_does_not_decide(say, cast: Cast):
    for verb, body in (("approve", {}), ("decline", {"note": "No."}), ("undo", {})):
        assert say(cast.technician, cast.change, verb, **body).status_code == 403
    cast.change.refresh_from_db()
    assert cast.change.status == "pending"
    say(cast.office, cast.change, "approve")
    assert say(cast.technician, cast.change, "apply", applied_on="2026-07-06").status_code == 200


def test_a_stranger_and_a_client_find_no_change_to_decide_on(say, cast: Cast, stranger):
    for person in (stranger, cast.client_person):
        for verb, body in (("approve", {}), ("decline", {"note": "No."}), ("apply", {}), ("undo", {})):
            assert say(person, cast.change, verb, **body).status_code == 404
    assert not ChangeEvent.objects.exists()


def test_a_body_is_not_needed_where_nothing_must_be_said(api, cast: Cast):
    api.force_authenticate(cast.owner)
    assert api.post(f"/api/v1/changes/{cast.change.pk}/approve/").status_code == 200
    assert api.post(f"/api/v1/changes/{cast.change.pk}/undo/").status_code == 200
