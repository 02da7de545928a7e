"""Who writes notes, what may stand in them, and what becomes of one that is taken back."""

from datetime import timedelta

import pytest
import time_machine

from common.errors import MovedOn, NotAllowed, Refused
from fleet.models import ClientNote
from fleet.services.client_notes import answer_note, withdraw_note, write_note
from tests.cast import reader
from tests.night.garden import ON
from tests.notes.conftest import SATURDAY, Written, a_garden_that_reads


def write(of: Written, words: str = "A word.", **days):
    return write_note(site=of.garden.site, by=of.reader, words=words, **days)


def test_one_day_is_meant_where_no_last_one_is_named(written: Written):
    assert (written.note.dry_from, written.note.dry_to) == (SATURDAY, SATURDAY)
    assert written.note.status == "waiting"


def test_only_the_sites_own_client_writes(written: Written):
    other, neighbour = a_garden_that_reads("Egret", minutes=10.0, place=(39.3, -121.2, 300.0))
    for person in (neighbour, other.owner, written.garden.owner):
        with pytest.raises(NotAllowed):
            write_note(site=written.garden.site, by=person, words="Mine?")
    written.garden.client.access_from = None
    written.garden.client.save()
    with pytest.raises(NotAllowed):
        write_note(
            site=written.garden.site, by=type(written.reader).objects.get(pk=written.reader.pk), words="?"
        )


@pytest.mark.parametrize("words", ["من فضلك لا تسقِ يوم السبت", "🎉🌱👩‍👩‍👧 no water 🙏", "x" * 1000])
def test_words_are_kept_as_they_were_written(written: Written, words: str):
    assert ClientNote.objects.get(pk=write(written, words).pk).words == words


@pytest.mark.parametrize(
    ("words", "days", "field"),
    [
        ("x" * 10_000, {}, "words"),
        ("  \n ", {}, "words"),
        ("a\0b", {}, "words"),
        ("Past.", {"dry_from": ON - timedelta(days=1)}, "dry_from"),
        ("Far.", {"dry_from": ON + timedelta(days=61)}, "dry_to"),
        ("Long.", {"dry_from": ON, "dry_to": ON + timedelta(days=31)}, "dry_to"),
        ("Back.", {"dry_from": SATURDAY, "dry_to": ON}, "dry_to"),
        ("Half.", {"dry_to": SATURDAY}, "dry_from"),
    ],
)
def test_what_cannot_be_is_told_by_its_field(written: Written, words: str, days: dict, field: str):
    with pytest.raises(Refused) as refused:
        write(written, words, **days)
    assert refused.value.field == field
    assert ClientNote.objects.count() == 1


def test_the_same_note_sent_twice_is_one(written: Written):
    again = write(written, written.note.words + "\r\n", dry_from=SATURDAY, dry_to=SATURDAY)
    assert again.pk == written.note.pk


def test_five_may_wait_and_twenty_be_written_in_a_day(written: Written):
    mine = [write(written, f"Note {n}") for n in range(4)]
    with pytest.raises(Refused, match="5 notes wait"):
        write(written, "One more")
    with pytest.raises(Refused, match="5 notes wait"):  # whoever of the client writes
        colleague = reader(written.garden.client, "second@heron.test")
        write_note(site=written.garden.site, by=colleague, words="Me too")
    for n in range(15):
        withdraw_note(note=mine[-1], by=written.reader)
        mine.append(write(written, f"Later {n}"))
    withdraw_note(note=mine[-1], by=written.reader)
    with pytest.raises(Refused, match="20 notes"):
        write(written, "And again")
    with time_machine.travel(written.note.written_at + timedelta(days=1, minutes=5)):
        assert write(written, "Tomorrow").status == "waiting"


def test_only_who_wrote_it_withdraws_and_only_while_it_waits(written: Written):
    for other in (reader(written.garden.client, "second@heron.test"), written.garden.owner):
        with pytest.raises(NotAllowed):
            withdraw_note(note=written.note, by=other)
    assert withdraw_note(note=written.note, by=written.reader).status == "withdrawn"
    assert withdraw_note(note=written.note, by=written.reader).status == "withdrawn"
    with pytest.raises(MovedOn) as moved:
        answer_note(note=written.note, by=written.garden.owner, answer="Gladly.")
    assert moved.value.current_status == "withdrawn"


def test_an_answer_is_given_once(written: Written):
    first = answer_note(note=written.note, by=written.garden.owner, answer="The start moves to 3:00.")
    again = answer_note(note=written.note, by=written.garden.owner, answer="The start moves to 3:00.")
    assert (first.answered_at, again.status) == (again.answered_at, "answered")
    with pytest.raises(MovedOn):
        answer_note(note=written.note, by=written.garden.owner, answer="Something else.")
    with pytest.raises(MovedOn):
        withdraw_note(note=written.note, by=written.reader)
    with pytest.raises(NotAllowed):
        answer_note(note=written.note, by=written.reader, answer="I answer myself.")
