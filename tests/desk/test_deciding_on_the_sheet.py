"""Decisions from the week sheet: posted, led back, undone, told apart when somebody was faster."""

import re

import pytest
from django.test import Client
from django.utils import timezone

from scheduling.models import Change, ChangeEvent, Setting, Skip
from scheduling.services.decisions import approve
from tests.cast import TODAY, Cast, a_change, a_program, a_skip
from tests.desk.rows import a_place, changes_at


def now(change: Change) -> Change:
    return Change.objects.get(pk=change.pk)


def line(text: str, change: Change) -> str:
    found = re.search(rf'<tr class="change[^>]*?id="change-{change.pk}".*?</tr>', text, re.DOTALL)
    assert found
    return " ".join(found[0].split())


def followed(web: Client, address: str, data: dict) -> str:
    return web.post(address, data, follow=True).content.decode()


def test_approving_leads_back_to_the_same_view_and_says_so_with_an_undo(cast: Cast, owner: Client):
    answer = owner.post(f"/changes/{cast.change.pk}/approve/?view=down&sort=water", {"value": "85"})
    assert answer["Location"] == f"/week/?view=down&sort=water#change-{cast.change.pk}"
    text = owner.get("/week/?view=down&sort=water").content.decode()
    assert "Program A at Grounds of Larkspur Irrigation: 85 % approved." in text
    assert f'name="change" value="{cast.change.pk}"' in text
    assert 'action="/week/undo/?view=down&amp;sort=water"' in text
    assert (now(cast.change).status, now(cast.change).decided) == ("approved", 85)


def test_another_value_can_be_approved(cast: Cast, owner: Client):
    owner.post(f"/changes/{cast.change.pk}/approve/", {"value": " 90 "})
    assert now(cast.change).decided == 90


@pytest.mark.parametrize(
    ("value", "message"),
    [
        ("87", "This controller holds steps of 5 %."),
        ("400", "This controller takes 0 to 200 %."),
        ("-5", "Type a whole number of percent, for example 85."),
        ("much", "Type a whole number of percent, for example 85."),
        ("８５", "Type a whole number of percent, for example 85."),
    ],
)
def test_a_value_the_controller_cant_hold_is_told_by_its_field(cast: Cast, owner: Client, value, message):
    answer = owner.post(f"/changes/{cast.change.pk}/approve/?view=needs", {"value": value})
    text = line(answer.content.decode(), cast.change)
    assert answer.status_code == 422
    assert message in text
    assert f'value="{value}"' in text
    assert f'aria-invalid="true" aria-describedby="error-{cast.change.pk}"' in text
    assert now(cast.change).status == "pending"


def test_an_empty_value_approves_as_proposed(cast: Cast, owner: Client):
    owner.post(f"/changes/{cast.change.pk}/approve/", {"value": ""})
    assert now(cast.change).decided == 85


def test_declining_wants_a_note_and_keeps_it(cast: Cast, owner: Client):
    address = f"/changes/{cast.change.pk}/decline/"
    refused = owner.post(address, {"note": "  "})
    assert refused.status_code == 422
    assert "Say in a few words why" in line(refused.content.decode(), cast.change)
    owner.post(address, {"note": "Wedding on the lawn."})
    assert now(cast.change).status == "declined"
    assert ChangeEvent.objects.get(change=cast.change, to_status="declined").note == "Wedding on the lawn."
    assert "Wedding on the lawn." in owner.get("/week/?view=decided").content.decode()


def test_a_decision_can_be_undone_from_its_line_and_from_the_message(cast: Cast, owner: Client):
    owner.post(f"/changes/{cast.change.pk}/approve/", {})
    text = followed(owner, f"/changes/{cast.change.pk}/undo/?view=decided", {})
    assert "taken back" in text
    assert now(cast.change).status == "pending"
    owner.post(f"/changes/{cast.change.pk}/decline/", {"note": "no"})
    owner.post("/week/undo/", {"change": [cast.change.pk]})
    assert now(cast.change).status == "pending"


def test_a_change_that_moved_on_shows_the_conflict_in_its_line_and_overwrites_nothing(
    cast: Cast, owner: Client
):
    approve(change=now(cast.change), by=cast.office, value=95)
    answer = owner.post(f"/changes/{cast.change.pk}/approve/?view=needs", {"value": "85"})
    text = line(answer.content.decode(), cast.change)
    assert answer.status_code == 409
    assert "This change is approved, not yet entered by now; nothing was overwritten." in text
    assert "Office of Larkspur Irrigation" in text
    assert now(cast.change).decided == 95


def test_a_change_that_was_replaced_leads_to_the_later_one(cast: Cast, owner: Client):
    Change.objects.filter(pk=cast.change.pk).update(status="superseded")
    later = a_change(cast.program, proposed=75)
    answer = owner.post(f"/changes/{cast.change.pk}/approve/", {"value": "85"})
    assert f'href="/changes/{later.pk}/">See the later one' in line(answer.content.decode(), cast.change)


def test_a_skip_is_approved_without_a_value(cast: Cast, owner: Client):
    skip = a_skip(a_program(a_place(cast.company), letter="S"))
    owner.post(f"/changes/{skip.pk}/approve/", {"value": "85"})
    assert now(skip).status == "approved"


def test_many_are_approved_as_proposed_and_undone_together(cast: Cast, owner: Client):
    changes = changes_at(a_place(cast.company), 3)
    picked = [change.pk for change in changes[:2]]
    text = followed(owner, "/week/approve/?view=needs", {"change": picked})
    assert "2 changes approved." in text
    assert [now(change).status for change in changes] == ["approved", "approved", "pending"]
    owner.post("/week/undo/", {"change": picked})
    assert {now(change).status for change in changes} == {"pending"}


def test_a_value_typed_in_a_picked_line_goes_with_it(cast: Cast, owner: Client):
    first, second = changes_at(a_place(cast.company), 2)
    owner.post("/week/approve/", {"change": [first.pk, second.pk], f"value-{first.pk}": "95"})
    assert (now(first).decided, now(second).decided) == (95, 85)


def test_one_of_many_that_moved_on_does_not_stop_the_others(cast: Cast, owner: Client):
    first, second = changes_at(a_place(cast.company), 2)
    approve(change=now(first), by=cast.office, value=90)
    answer = owner.post("/week/approve/?view=needs", {"change": [first.pk, second.pk]})
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "nothing was overwritten" in line(text, first)
    assert (now(first).decided, now(second).status) == (90, "approved")


def test_picking_nothing_is_said(cast: Cast, owner: Client):
    assert "Pick at least one change first." in followed(owner, "/week/approve/", {})


@pytest.mark.parametrize("picked", ["x", "-1", "9" * 40, "१"])
def test_made_up_picks_are_left_out(cast: Cast, owner: Client, picked):
    assert "Pick at least one change first." in followed(owner, "/week/approve/", {"change": [picked]})


def test_many_are_declined_with_one_note(cast: Cast, owner: Client):
    changes = changes_at(a_place(cast.company), 2)
    picked = {"change": [change.pk for change in changes]}
    refused = owner.post("/week/decline/", picked)
    assert refused.status_code == 422
    assert "Say in a few words why" in refused.content.decode()
    owner.post("/week/decline/", {**picked, "note": "Town turned the water off."})
    assert {now(change).status for change in changes} == {"declined"}


def test_an_approved_change_is_ticked_as_entered_by_the_technician(
    cast: Cast, owner: Client, technician: Client
):
    owner.post(f"/changes/{cast.change.pk}/approve/", {"value": "90"})
    text = followed(technician, f"/changes/{cast.change.pk}/enter/", {})
    assert "90 % entered." in text
    assert now(cast.change).status == "applied"
    setting = Setting.objects.get(program=cast.program)
    assert (setting.percent, setting.effective_from) == (90, TODAY)


def test_many_are_ticked_as_entered(cast: Cast, technician: Client):
    box = a_place(cast.company)
    waiting = [
        a_change(a_program(box, letter), status="approved", decided=90, decided_at=timezone.now())
        for letter in "AB"
    ]
    skip = a_skip(a_program(box, "S"), status="approved", decided_at=timezone.now())
    technician.post("/week/enter/", {"change": [change.pk for change in [*waiting, skip]]})
    assert {now(change).status for change in [*waiting, skip]} == {"applied"}
    assert Skip.objects.get().program == skip.program


def test_what_was_entered_cannot_be_undone(cast: Cast, owner: Client):
    owner.post(f"/changes/{cast.change.pk}/approve/", {})
    owner.post(f"/changes/{cast.change.pk}/enter/", {})
    assert owner.post(f"/changes/{cast.change.pk}/undo/").status_code == 409
    assert now(cast.change).status == "applied"


def test_a_note_is_never_taken_for_markup(cast: Cast, owner: Client):
    owner.post(f"/changes/{cast.change.pk}/decline/", {"note": "<script>alert(1)</script>"})
    assert "<script>alert" not in owner.get("/week/?view=decided").content.decode()


class TestWithoutReloading:
    """The same posts by htmx answer with what changed alone."""

    def test_the_answer_holds_the_line_the_totals_and_the_counts(self, cast: Cast, owner: Client):
        answer = owner.post(
            f"/changes/{cast.change.pk}/approve/?view=needs", {"value": "85"}, headers={"HX-Request": "true"}
        )
        text = answer.content.decode()
        assert answer.status_code == 200
        assert "<html" not in text
        assert 'hx-swap-oob="true"' in line(text, cast.change)
        for part in ("figures", "views", "waiting"):
            assert re.search(rf'id="{part}"[^>]*hx-swap-oob="true"', text), part
        assert "85 % approved." in text
        assert 'hx-post="/week/undo/?view=needs"' in text

    def test_a_conflict_answers_409_with_the_line_as_it_is_now(self, cast: Cast, owner: Client):
        approve(change=now(cast.change), by=cast.office, value=95)
        answer = owner.post(f"/changes/{cast.change.pk}/approve/", {}, headers={"HX-Request": "true"})
        assert answer.status_code == 409
        assert "nothing was overwritten" in line(answer.content.decode(), cast.change)

    def test_a_wrong_value_answers_422_with_the_field_marked(self, cast: Cast, owner: Client):
        answer = owner.post(
            f"/changes/{cast.change.pk}/approve/", {"value": "87"}, headers={"HX-Request": "true"}
        )
        assert answer.status_code == 422
        assert 'aria-invalid="true"' in line(answer.content.decode(), cast.change)
