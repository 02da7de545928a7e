"""Letters over a real mail server: each once, claimed first, unsure where nobody can know."""

import os
import subprocess
import sys
import threading
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection, connections
from django.utils import timezone as real_time

from fleet.models import Letter
from fleet.services.letters.post import LOST_AFTER, MOST_ATTEMPTS, post_letters
from fleet.services.letters.write import Enclosed, write
from tests.cast import Cast

pytestmark = pytest.mark.django_db
State = Letter.State


def a_letter(cast: Cast, n: int = 1, **fields) -> Letter:
    usual: dict[str, Any] = {
        "company": cast.company,
        "kind": "opening",
        "key": f"test:{n}",
        "to": f"reader{n}@heron.test",
        "subject": "Your garden's watering,\r\nBcc: x@y.test",
        "text": "Good morning.",
    }
    return write(**(usual | fields))


def state(letter: Letter) -> str:
    letter.refresh_from_db()
    return letter.state


def test_a_letter_arrives_once_with_its_files(cast: Cast, office):
    letter = a_letter(cast, html="<p>Good morning.</p>", files=[Enclosed("pack.pdf", b"%PDF-1.7 x")])
    assert post_letters().sent == [letter.pk]
    assert post_letters().sent == []
    [(to, message)] = office.taken
    assert to == "reader1@heron.test"
    assert message["Subject"] == "Your garden's watering, Bcc: x@y.test"
    assert message["Bcc"] is None
    parts = {part.get_content_type(): part for part in message.walk()}
    assert parts["application/pdf"].get_payload(decode=True) == b"%PDF-1.7 x"
    assert parts["application/pdf"].get_filename() == "pack.pdf"
    assert "Good morning" in parts["text/html"].get_payload()
    assert state(letter) == State.SENT
    assert letter.sent_at is not None


def test_written_twice_it_is_one(cast: Cast, office):
    assert a_letter(cast).pk == a_letter(cast, text="Another").pk
    post_letters()
    assert len(office.taken) == 1


def test_nothing_goes_out_before_its_time(cast: Cast, office):
    later = real_time.now() + timedelta(days=3)
    letter = a_letter(cast, not_before=later)
    assert post_letters().sent == []
    assert post_letters(now=later + timedelta(minutes=1)).sent == [letter.pk]


def test_without_a_mail_server_letters_wait(cast: Cast, settings):
    letter = a_letter(cast)
    settings.MAIL_SERVER = False
    assert post_letters().no_server
    assert state(letter) == State.WAITING


def test_an_address_refused_for_good_fails_and_the_next_letter_goes(cast: Cast, office):
    office.refuse["reader1@heron.test"] = "550 no such mailbox"
    bad, good = a_letter(cast, 1), a_letter(cast, 2)
    posted = post_letters()
    assert (posted.failed, posted.sent) == ([bad.pk], [good.pk])
    assert state(bad) == State.FAILED
    assert "550 no such mailbox" in bad.error


@pytest.mark.parametrize("where", ["address", "letter"])
def test_refused_for_now_it_waits_longer_each_time_and_then_gives_up(cast: Cast, office, where):
    if where == "address":
        office.refuse["reader1@heron.test"] = "451 try later"
    else:
        office.at_data = "452 full"
    letter, now, waits = a_letter(cast), real_time.now(), []
    for _ in range(MOST_ATTEMPTS - 1):
        assert post_letters(now=now).again == [letter.pk]
        letter.refresh_from_db()
        waits.append(letter.next_attempt_at - now)
        now = letter.next_attempt_at + timedelta(seconds=1)
    assert waits == sorted(waits)
    assert waits[-1] > waits[0]
    assert post_letters(now=now).failed == [letter.pk]
    assert office.taken == []


@pytest.mark.parametrize("when", ["before", "after"])
def test_broken_off_in_the_middle_it_is_unsure_and_never_sent_again_by_itself(cast: Cast, office, when):
    letter = a_letter(cast)
    office.break_off = when
    assert post_letters().unsure == [letter.pk]
    office.break_off = ""
    for days in range(1, 20):
        assert post_letters(now=real_time.now() + timedelta(days=days)).sent == []
    assert state(letter) == State.UNSURE
    assert len(office.taken) == (when == "after")


def test_no_server_to_be_reached_is_surely_not_sent(cast: Cast, office, settings):
    settings.EMAIL_PORT = 9  # nothing listens there
    letter = a_letter(cast)
    assert post_letters().again == [letter.pk]
    assert state(letter) == State.WAITING


def test_what_was_claimed_and_never_ended_becomes_unsure(cast: Cast, office):
    letter = a_letter(cast)
    claimed = real_time.now() - LOST_AFTER
    Letter.objects.filter(pk=letter.pk).update(state=State.SENDING, claimed_at=claimed + timedelta(minutes=1))
    assert post_letters().unsure == []
    assert post_letters(now=real_time.now() + timedelta(minutes=2)).unsure == [letter.pk]
    assert office.taken == []


@pytest.mark.django_db(transaction=True)
def test_four_posting_at_once_send_each_letter_once(cast: Cast, office):
    letters = [a_letter(cast, n) for n in range(24)]

    def work() -> None:
        try:
            post_letters()
        finally:
            connections.close_all()

    threads = [threading.Thread(target=work) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(to for to, _ in office.taken) == sorted(letter.to for letter in letters)
    assert set(Letter.objects.values_list("state", flat=True)) == {State.SENT}


KILLED = """
import os, django, tests.settings as s
from django.conf import settings
settings.configure(**{k: getattr(s, k) for k in dir(s) if k.isupper()} | {
    "MAIL_SERVER": True, "EMAIL_BACKEND": "django.core.mail.backends.smtp.EmailBackend",
    "EMAIL_HOST": "127.0.0.1", "EMAIL_PORT": int(os.environ["PORT"])})
settings.DATABASES["default"]["NAME"] = os.environ["NAME"]
django.setup()
from django.core.mail import EmailMultiAlternatives
from fleet.services.letters import post
sends = EmailMultiAlternatives.send
def send(self, *a, **k):
    done = sends(self, *a, **k)
    if self.to == ["reader2@heron.test"]:
        os.kill(os.getpid(), 9)
    return done
EmailMultiAlternatives.send = send
post.post_letters()
"""


@pytest.mark.django_db(transaction=True)
def test_killed_after_handing_over_nobody_gets_two(cast: Cast, office, settings):
    letters = [a_letter(cast, n) for n in range(1, 5)]
    environment = {
        **os.environ,
        "PORT": str(settings.EMAIL_PORT),
        "NAME": str(connection.settings_dict["NAME"]),
    }
    done = subprocess.run(
        [sys.executable, "-c", KILLED],
        env=environment,
        cwd=settings.BASE_DIR,
        capture_output=True,
        check=False,
    )
    assert done.returncode == -9, done.stderr.decode()
    assert [state(letter) for letter in letters] == [State.SENT, State.SENDING, State.WAITING, State.WAITING]
    posted = post_letters(now=real_time.now() + LOST_AFTER + timedelta(seconds=1))
    assert posted.unsure == [letters[1].pk]
    assert len(posted.sent) == 2
    assert sorted(to for to, _ in office.taken) == [f"reader{n}@heron.test" for n in range(1, 5)]
