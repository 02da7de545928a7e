"""Deciding on changes, below the pages and the interface."""

from datetime import date, timedelta

import pytest

from common.errors import MovedOn, NotAllowed, Refused
from fleet.models import Controller
from scheduling.models import Change, ChangeEvent, Delivery
from scheduling.services.decisions import approve, approve_as, approve_many, decline, undo
from scheduling.services.entering import apply
from tests.cast import TODAY, Cast, a_change, a_program, a_skip

pytestmark = pytest.mark.django_db


def stale(change: Change) -> Change:
    """Read a change as a second person's page holds it."""
    return Change.objects.get(pk=change.pk)


def test_of_two_people_at_once_one_wins_and_the_other_is_told(cast: Cast):
    mine, theirs = stale(cast.change), stale(cast.change)
    approve(change=mine, by=cast.office, value=90)
    with pytest.raises(MovedOn) as conflict:
        decline(change=theirs, by=cast.owner, note="No.")
    assert conflict.value.current_status == "approved"
    cast.change.refresh_from_db()
    assert (cast.change.status, cast.change.decided) == ("approved", 90)
    assert [e.to_status for e in cast.change.events.all()] == ["approved"]


def test_the_same_decision_twice_is_told_too(cast: Cast):
    again = stale(cast.change)
    approve(change=cast.change, by=cast.office)
    with pytest.raises(MovedOn):
        approve(change=again, by=cast.office)
    assert ChangeEvent.objects.count() == 1


def test_a_change_undone_in_between_is_not_approved_from_an_old_page(cast: Cast):
    approve(change=cast.change, by=cast.office)
    old_page = stale(cast.change)
    undo(change=cast.change, by=cast.office)
    with pytest.raises(MovedOn) as conflict:
        apply(change=old_page, by=cast.technician)
    assert conflict.value.current_status == "pending"


def test_many_are_approved_and_one_that_moved_on_does_not_stop_them(cast: Cast):
    other = a_change(a_program(cast.controller, "B"))
    gone = a_change(a_program(cast.controller, "C"))
    Change.objects.filter(pk=gone.pk).update(status="superseded")
    outcomes = approve_many(changes=[cast.change, gone, other], by=cast.office)
    assert [o.done for o in outcomes] == [True, False, True]
    assert outcomes[1].current_status == "superseded"
    assert Change.objects.filter(status="approved").count() == 2


def test_many_are_refused_one_by_one_to_whom_it_is_not_given(cast: Cast):
    (outcome,) = approve_many(changes=[cast.change], by=cast.technician)
    assert not outcome.done
    assert outcome.message == "Only the owner and the office decide on changes."


def test_policy_approves_in_nobodys_name_and_says_so(cast: Cast):
    approve_as(cast.change, by=None, value=85, automatic=True, note="Within 15 points.")
    assert (cast.change.status, cast.change.automatic, cast.change.decided_by) == ("approved", True, None)
    assert cast.change.events.get().note == "Within 15 points."
    undo(change=cast.change, by=cast.office)
    assert cast.change.automatic is False


@pytest.mark.parametrize(("step", "value"), [(10, 85), (25, 80), (7, 50)])
def test_a_value_between_steps_is_refused(cast: Cast, step, value):
    Controller.objects.filter(pk=cast.controller.pk).update(percent_step=step)
    with pytest.raises(Refused, match=f"steps of {step} %") as refusal:
        approve(change=stale(cast.change), by=cast.office, value=value)
    assert refusal.value.field == "value"


def test_a_value_above_what_the_controller_takes_is_refused(cast: Cast):
    Controller.objects.filter(pk=cast.controller.pk).update(percent_max=150)
    with pytest.raises(Refused, match="0 to 150 %"):
        approve(change=stale(cast.change), by=cast.office, value=155)
    assert approve(change=stale(cast.change), by=cast.office, value=150).decided == 150


def test_a_refusal_leaves_no_trace(cast: Cast):
    with pytest.raises(Refused):
        decline(change=cast.change, by=cast.office, note="   ")
    with pytest.raises(Refused):
        approve(change=cast.change, by=cast.office, note="x" * 1001)
    cast.change.refresh_from_db()
    assert cast.change.status == "pending"
    assert not ChangeEvent.objects.exists()
    assert not Delivery.objects.exists()


def test_only_who_decides_decides(cast: Cast, stranger):
    for person in (cast.technician, cast.client_person, stranger):
        with pytest.raises(NotAllowed):
            approve(change=cast.change, by=person)
        with pytest.raises(NotAllowed):
            decline(change=cast.change, by=person, note="No.")
        with pytest.raises(NotAllowed):
            undo(change=cast.change, by=person)


def test_a_skip_of_another_night_stays_approved(cast: Cast):
    tonight = approve(change=a_skip(cast.program), by=cast.office)
    later = a_skip(
        cast.program,
        effective_from=TODAY + timedelta(days=1),
        effective_to=TODAY + timedelta(days=2),
    )
    approve(change=later, by=cast.office)
    assert stale(tonight).status == "approved"
    longer = a_skip(cast.program, effective_from=TODAY, effective_to=TODAY + timedelta(days=1))
    approve(change=longer, by=cast.office)
    assert stale(tonight).status == "superseded"
    assert stale(later).status == "superseded"


def test_what_was_entered_meanwhile_is_not_replaced(cast: Cast, monkeypatch):
    older = approve(change=cast.change, by=cast.office)
    newer = a_change(cast.program, proposed=75)
    real = Change.objects.filter

    def entered_first(*args, **kwargs):
        # The older one is entered after the list of older ones was read, before it is claimed.
        if kwargs.get("pk") == older.pk and "status__in" in kwargs:
            monkeypatch.undo()
            apply(change=stale(older), by=cast.technician)
        return real(*args, **kwargs)

    monkeypatch.setattr(Change.objects, "filter", entered_first)
    approve(change=newer, by=cast.office)
    assert stale(older).status == "applied"
    assert stale(newer).status == "approved"


def test_the_way_to_the_controller_follows_the_controller(cast: Cast):
    approve(change=cast.change, by=cast.office)
    undo(change=cast.change, by=cast.office)
    Controller.objects.filter(pk=cast.controller.pk).update(delivery="on_site")
    approve(change=stale(cast.change), by=cast.office)
    ways = Delivery.objects.order_by("channel").values_list("channel", "state")
    assert list(ways) == [("office", "withdrawn"), ("on_site", "waiting")]


@pytest.mark.parametrize("verb", ["approve", "undo"])
def test_when_its_night_is_over_a_skip_is_not_decided_any_more(cast: Cast, settings, verb):
    skip = a_skip(cast.program)
    if verb == "undo":
        approve(change=skip, by=cast.office)
    settings.AS_OF = date(2026, 7, 7)
    with pytest.raises(MovedOn, match="The night of 2026-07-06 is over"):
        {"approve": approve, "undo": undo}[verb](change=stale(skip), by=cast.office)
