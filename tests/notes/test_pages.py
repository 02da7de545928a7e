"""Writing a note, reading what became of it, and answering it, on the pages."""

import re
from datetime import timedelta
from typing import Any

import pytest
from django.db import transaction
from django.test import Client as Browser
from django.utils import timezone

from desk.letters.answers import write_answers
from desk.summaries.done_words import done_words
from fleet.models import ClientAccess, ClientNote, Letter, User
from fleet.services.client_notes import answer_note
from reports.selectors.summary.doings import doings_of
from scheduling.models import Change
from scheduling.services import entering
from scheduling.services.wishes import take_back
from tests.cast import worker
from tests.night.garden import ON
from tests.notes.conftest import SATURDAY, Written
from tests.notes.test_wishes import granted


def as_(user: User) -> Browser:
    browser = Browser()
    browser.force_login(user)
    return browser


def text_of(answer: Any, status: int = 200) -> str:
    assert answer.status_code == status
    return re.sub(r"\s+", " ", answer.content.decode().replace("\xa0", " "))


def own(of: Written) -> str:
    return f"/sites/{of.garden.site.pk}/notes/"


def test_a_note_is_written_read_and_withdrawn_by_its_client(written: Written):
    web = as_(written.reader)
    said = {"words": "🎉 ضيوف <b>Saturday</b>", "dry_from": "2026-07-20", "dry_to": "2026-07-21"}
    assert web.post(own(written), said).status_code == 302
    note = ClientNote.objects.latest("pk")
    text = text_of(web.get(own(written)))
    assert '<p class="said" dir="auto">🎉 ضيوف &lt;b&gt;Saturday&lt;/b&gt;</p>' in text
    assert "No water from Monday 20 July to Tuesday 21 July" in text
    assert text.count("waiting for an answer") == 2
    assert "2 notes waiting for an answer" in text_of(web.get("/"))
    assert web.post(f"/notes/{note.pk}/withdraw/").status_code == 302
    assert "withdrawn" in text_of(web.get(own(written)))


def test_a_reader_turns_the_pages_back_to_the_first_note(written: Written):
    ClientNote.objects.bulk_create(ClientNote(site=written.garden.site, words="Later.") for _ in range(40))
    web = as_(written.reader)
    newest = text_of(web.get(own(written)))
    assert written.note.words not in newest
    assert "1 to 40 of 41 notes" in newest
    assert written.note.words in text_of(web.get(f"{own(written)}?page=2"))
    staff = text_of(as_(written.garden.owner).get("/notes/?view=all"))
    assert 'href="?view=all&amp;page=2" rel="next"' in staff  # the next page of the same view


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"words": "x" * 10_000}, "1,000 characters at the most; this has 10,000."),
        ({"words": "Yesterday.", "dry_from": "2026-07-13"}, "That day is over."),
        ({"words": "When?", "dry_from": "soon"}, "Type the date as year-month-day"),
        ({"words": ""}, "This can&#x27;t be empty."),
    ],
)
def test_what_cannot_be_sent_stays_in_the_form(written: Written, said: dict, told: str):
    text = text_of(as_(written.reader).post(own(written), said), 422)
    assert told in text
    assert said["words"] in text
    assert ClientNote.objects.count() == 1


def test_staff_read_on_the_morning_sheet_and_answer(written: Written):
    web = as_(written.garden.owner)
    sheet = text_of(web.get("/"))
    assert "1 note" in sheet
    assert written.note.words in sheet
    assert "No water on Saturday 18 July" in sheet
    for page in (f"/clients/{written.garden.client.pk}/", f"/sites/{written.garden.site.pk}/", "/notes/"):
        assert written.note.words in text_of(web.get(page))
    here = f"/notes/{written.note.pk}/"
    assert "Say in a few words" in text_of(web.post(f"{here}answer/", {"answer": " "}), 422)
    assert web.post(f"{here}answer/", {"answer": "We start later."}).status_code == 302
    assert "is answered by now" in text_of(web.post(f"{here}answer/", {"answer": "No."}), 409)
    assert "We start later." in text_of(as_(written.reader).get(own(written)))
    assert written.note.words not in text_of(web.get("/"))
    assert "Nothing waits for you." in text_of(web.get("/"))


def test_nights_are_left_out_with_what_that_does_shown_first(written: Written):
    web, here = as_(written.garden.owner), f"/notes/{written.note.pk}/"
    text = text_of(web.get(here))
    assert "Fri night" in text
    assert "zone 1" in text
    ticked = re.findall(r'name="skip"[^>]*value="([^"]+)"[^>]*checked', text)
    assert len(ticked) == 2
    assert "Choose at least one program" in text_of(web.post(f"{here}skip/"), 422)
    assert "Choose among the programs" in text_of(web.post(f"{here}skip/", {"skip": "1 never ever"}), 422)
    assert Change.objects.filter(kind="wish_skip").count() == 0
    for _ in range(2):  # a second click finds it done
        assert web.post(f"{here}skip/", {"skip": ticked, "answer": "Enjoy."}).status_code == 302
    assert Change.objects.filter(kind="wish_skip").count() == 2
    change = written.note.changes.first()
    why = text_of(web.get(f"/changes/{change.pk}/"))
    assert "The client asked for it" in why
    assert "Rain around this night" not in why
    for page in ("/field/", "/week/?view=enter"):  # weeks may lie ahead of it: a weekday alone isn't enough
        assert "Fri 17 Jul" in text_of(web.get(page))
    told = text_of(as_(written.reader).get(own(written)))
    assert "agreed, to be entered at the controller" in told
    assert "Enjoy." in told
    assert web.post(f"{here}take-back/").status_code == 302
    assert "waiting for an answer" in text_of(as_(written.reader).get(own(written)))


def test_a_technician_reads_a_note_and_decides_nothing(written: Written):
    hand = as_(worker(written.garden.company, "technician", "heron.test"))
    text = text_of(hand.get(f"/notes/{written.note.pk}/"))
    assert "Leave these nights out" not in text
    for step in ("answer", "skip", "take-back"):
        said = {"answer": "Yes.", "skip": f"{written.beds.pk} {SATURDAY} {SATURDAY}"}
        assert hand.post(f"/notes/{written.note.pk}/{step}/", said).status_code == 403
    assert ClientNote.objects.get().status == "waiting"


def test_the_writer_is_told_by_letter_once_it_can_no_longer_be_taken_back_unseen(written: Written):
    granted(written, answer="Gladly.")
    assert write_answers() == []
    later = timezone.now() - timedelta(minutes=6)
    note = ClientNote.objects.get()
    note.answered_at = later
    note.save()
    letter = write_answers()[0]
    assert (letter.to, letter.kind) == (written.reader.email, "answer")
    assert "Gladly." in letter.text
    assert "Program" in letter.text or "Lawns" in letter.text
    assert "night of Fri 17 Jul" in letter.text.replace("\xa0", " ")
    assert write_answers() == []
    take_back(note=note, by=written.garden.owner)
    assert Letter.objects.get().state == "stopped"
    answered = answer_note(note=note, by=written.garden.owner, answer="Sorry, no.")
    answered.answered_at = later + timedelta(seconds=1)  # a letter of its own
    answered.save()
    client = written.garden.client
    client.access_from = None
    client.save()
    assert write_answers() == []  # whoever reads no more is told nothing
    client.access_from = ON
    client.save()
    with transaction.atomic():
        assert len(write_answers()) == 1
        transaction.set_rollback(True)
    ClientAccess.objects.all().delete()
    assert write_answers() == []


def test_a_summary_says_it_was_asked_for(written: Written):
    granted(written)
    for change in written.note.changes.all():
        entering.apply(change=change, by=written.garden.owner)
    client = written.garden.client.pk
    done = doings_of([client], first=ON.replace(day=1), last=ON.replace(day=31))[client]
    wishes = {group["head"]: group["lines"] for group in done_words(done, units="us")}["As you wished"]
    assert wishes == [
        f"{written.garden.site}, Shed: 2 nights without water, as you asked: “{written.note.words}”"
    ]
