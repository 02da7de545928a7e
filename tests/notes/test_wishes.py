"""A note becomes a skip: which nights, what it does to the plants, entered, told, taken back."""

from datetime import date, timedelta

import pytest

from common.errors import MovedOn, NotAllowed, Refused
from fleet.models import ClientNote, Controller, Visit
from fleet.services.client_notes import write_note
from reports.selectors.summary.doings import doings_of
from scheduling.models import Change, Skip
from scheduling.selectors.client_notes import notes_for, told
from scheduling.selectors.dry_days import wet_nights
from scheduling.services import decisions, entering
from scheduling.services.wishes import Chosen, grant, take_back, wishes_of
from tests.night.garden import ON
from tests.notes.conftest import SATURDAY, Written

FRIDAY = SATURDAY - timedelta(days=1)


def offered(of: Written) -> list[Chosen]:
    return [Chosen(w.nights.program.pk, w.nights.first, w.nights.last) for w in wishes_of(of.note)]


def granted(of: Written, **more) -> ClientNote:
    return grant(note=of.note, by=of.garden.owner, chosen=offered(of), **more)


def enter(of: Written) -> None:
    for change in of.note.changes.all():
        entering.apply(change=change, by=of.garden.owner)


def outcome(of: Written) -> str:
    return told(notes_for(of.reader).filter(pk=of.note.pk))[0].outcome


def test_only_nights_that_wet_the_named_day_are_left_out(written: Written):
    # Lawns start at 3:00, so Saturday's water is Friday night's; the beds start on Saturday at 20:00.
    lawns, beds = wishes_of(written.note)
    assert (lawns.nights.program, lawns.nights.first, lawns.nights.last) == (
        written.garden.program, FRIDAY, FRIDAY,
    )  # fmt: skip
    assert (beds.nights.program, beds.nights.first, beds.nights.last) == (written.beds, SATURDAY, SATURDAY)
    assert all(wish.nights.in_time and not wish.nights.needs_visit for wish in (lawns, beds))


def test_what_runs_on_past_midnight_counts_for_both_days(written: Written):
    written.garden.program.starts = ["23:50"]
    written.garden.program.save()
    lawns = wet_nights(written.garden.site, first=SATURDAY, last=SATURDAY, on=ON)[0]
    assert (lawns.first, lawns.last) == (FRIDAY, SATURDAY)


def test_a_night_that_is_left_out_already_is_not_offered_again(written: Written):
    Skip.objects.create(
        program=written.garden.program, effective_from=FRIDAY, effective_to=FRIDAY, reason="Fair."
    )
    granted(written)
    second = write_note(site=written.garden.site, by=written.reader, words="Again.", dry_from=SATURDAY)
    assert [change.program for change in written.note.changes.all()] == [written.beds]
    assert wishes_of(second) == []


def test_nights_granted_around_those_of_another_note_leave_it_granted(written: Written):
    granted(written)
    wider = write_note(
        site=written.garden.site,
        by=written.reader,
        words="A whole week.",
        dry_from=SATURDAY - timedelta(days=2),
        dry_to=SATURDAY + timedelta(days=2),
    )
    lawns = wishes_of(wider)[0].nights
    assert (lawns.program, lawns.first < FRIDAY < lawns.last) == (written.garden.program, True)
    grant(note=wider, by=written.garden.owner, chosen=[Chosen(lawns.program.pk, lawns.first, lawns.last)])
    assert outcome(written) == "agreed"
    assert {change.status for change in written.note.changes.all()} == {"approved"}
    take_back(note=wider, by=written.garden.owner)
    enter(written)
    assert outcome(written) == "entered"


def test_the_skip_tells_its_water_and_what_it_does_to_the_plants(written: Written):
    lawns = wishes_of(written.note)[0].proposal
    # 30 min at 12 mm/h on 200 m2 are 6 mm or 1,200 L; a lawn that uses 6 mm a day is short without it.
    assert lawns.litres == pytest.approx(-1200)
    assert lawns.risk_change.level > 0
    assert lawns.risk_change.level >= lawns.risk_keep.level
    fate = lawns.inputs["trace"]
    lands = (SATURDAY - ON).days
    assert fate["keep"][:lands] == fate["change"][:lands]
    assert fate["change"][lands] > fate["keep"][lands]


def test_decided_it_waits_to_be_entered_and_then_waters_no_more(written: Written):
    note = granted(written, answer="Gladly.")
    changes = list(note.changes.order_by("pk"))
    assert [(c.kind, c.status, c.whole_controller) for c in changes] == [("wish_skip", "approved", False)] * 2
    assert (outcome(written), Skip.objects.count()) == ("agreed", 0)
    enter(written)
    assert outcome(written) == "entered"
    assert set(Skip.objects.values_list("program", "effective_from", "effective_to")) == {
        (written.garden.program.pk, FRIDAY, FRIDAY),
        (written.beds.pk, SATURDAY, SATURDAY),
    }
    assert wet_nights(written.garden.site, first=SATURDAY, last=SATURDAY, on=ON) == []


def test_a_summary_tells_it_as_the_clients_own_wish(written: Written):
    granted(written)
    enter(written)
    client = written.garden.client.pk
    done = doings_of([client], first=date(2026, 7, 1), last=date(2026, 7, 31))[client]
    wish = done["wishes"][0]
    assert (wish["kind"], wish["nights"], wish["why"]) == ("asked", 2, written.note.words)
    assert done["weather"] == []


def test_decided_twice_it_is_decided_once(written: Written):
    first, chosen = (
        granted(written),
        [Chosen(c.program_id, c.effective_from, c.effective_to) for c in written.note.changes.all()],
    )
    again = grant(note=written.note, by=written.garden.owner, chosen=chosen)
    assert (again.answered_at, Change.objects.filter(kind="wish_skip").count()) == (first.answered_at, 2)
    with pytest.raises(MovedOn):
        grant(note=written.note, by=written.garden.owner, chosen=chosen[:1])


def test_one_program_may_be_chosen_alone_but_only_as_it_was_shown(written: Written):
    lawns, beds = offered(written)
    for wrong in (Chosen(lawns.program, ON, FRIDAY), Chosen(999_999, FRIDAY, FRIDAY)):
        with pytest.raises(MovedOn):
            grant(note=written.note, by=written.garden.owner, chosen=[wrong, beds])
    with pytest.raises(Refused):
        grant(note=written.note, by=written.garden.owner, chosen=[])
    with pytest.raises(NotAllowed):
        grant(note=written.note, by=written.reader, chosen=[beds])
    assert Change.objects.filter(kind="wish_skip").count() == 0
    grant(note=written.note, by=written.garden.owner, chosen=[beds])
    assert [c.program for c in written.note.changes.all()] == [written.beds]


def test_taken_back_the_note_waits_again_until_a_skip_was_entered(written: Written):
    granted(written, answer="Gladly.")
    note = take_back(note=written.note, by=written.garden.owner)
    assert (note.status, note.answer, note.answered_at) == ("waiting", "", None)
    assert {c.status for c in note.changes.all()} == {"superseded"}
    granted(written)
    change = written.note.changes.filter(status="approved").first()
    entering.apply(change=change, by=written.garden.owner)
    with pytest.raises(MovedOn):
        take_back(note=written.note, by=written.garden.owner)


def test_a_skip_of_it_is_undone_and_declined_as_any_other(written: Written):
    granted(written)
    for change in written.note.changes.all():
        decisions.undo(change=change, by=written.garden.owner)
        assert outcome(written) == "agreed"
        decisions.decline(change=change, by=written.garden.owner, note="The lawn is new.")
    assert outcome(written) == "lapsed"


def test_where_somebody_must_drive_it_is_in_time_only_with_a_visit_before(written: Written):
    Controller.objects.filter(pk=written.garden.controller.pk).update(delivery="on_site")
    assert [(w.nights.needs_visit, w.nights.in_time) for w in wishes_of(written.note)] == [(True, False)] * 2
    Visit.objects.create(site=written.garden.site, date=FRIDAY)
    assert [(w.nights.visit, w.nights.in_time) for w in wishes_of(written.note)] == [(FRIDAY, True)] * 2


def test_entered_late_only_the_nights_to_come_are_left_out(written: Written, settings):
    ClientNote.objects.filter(pk=written.note.pk).update(dry_to=SATURDAY + timedelta(days=1))
    written.note.refresh_from_db()
    granted(written)
    settings.AS_OF = SATURDAY
    lawns = written.note.changes.get(program=written.garden.program)
    entering.apply(change=lawns, by=written.garden.owner)
    skip = Skip.objects.get(program=written.garden.program)
    assert (skip.effective_from, skip.effective_to) == (SATURDAY, SATURDAY)


def test_without_a_complete_survey_it_can_still_be_left_out(written: Written):
    written.bed.soil = ""
    written.bed.save()
    beds = wishes_of(written.note)[1]
    assert beds.proposal is None
    assert "soil" in beds.why_not
    granted(written)
    change = written.note.changes.get(program=written.beds)
    assert (change.status, change.effect_litres, change.risk_change) == ("approved", None, "")
