"""``manage.py summaries``: twice, and killed in the middle, over a real mail server: nobody gets two."""

import io
import json
import os
import subprocess
import sys
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from pypdf import PdfReader

from desk.management.commands.summaries import Command
from fleet.models import Client, Letter
from reports.models import Summary, SummaryStop, UseAlert
from reports.selectors.summary.states import standings
from reports.services.summaries import approve, make
from tests.desk.summaries.conftest import MONTH, readable
from tests.night.garden import Garden, garden

pytestmark = pytest.mark.django_db


def run(*arguments: str) -> dict[str, Any]:
    out = io.StringIO()
    call_command("summaries", "--month", "2026-06", "--json", *arguments, stdout=out)
    told: dict[str, Any] = json.loads(out.getvalue())
    return told


def states(told: dict[str, Any]) -> dict[str, str]:
    return {row["name"]: row["state"] for row in told["clients"]}


def test_drafts_are_told_and_nothing_goes_out(heron: Garden, office):
    told = run()
    [row] = told["clients"]
    assert told["month"] == "2026-06"
    assert (row["client"], row["state"], row["sent_at"]) == (heron.client.pk, "draft", None)
    paper = PdfReader(row["pdf"])
    text = " ".join(" ".join(page.extract_text() for page in paper.pages).split())
    assert row["figures"]["shown"]["saved"] in text
    assert office.taken == []


def test_sent_twice_each_reader_gets_one(heron: Garden, office):
    readable(heron.client, "second@heron.test")
    for _ in range(2):
        told = run("--send")
    [row] = told["clients"]
    assert (row["state"], row["error"]) == ("sent", None)
    assert row["sent_at"]
    assert sorted(to for to, _ in office.taken) == ["reader@heron.test", "second@heron.test"]
    message = office.taken[0][1]
    parts = [part.get_content_type() for part in message.walk()]
    assert parts.count("image/png") == 2
    assert parts.count("application/pdf") == 1
    html = next(p for p in message.walk() if p.get_content_type() == "text/html")
    assert "cid:months" in html.get_payload(decode=True).decode()
    assert {p["Content-ID"] for p in message.walk() if p.get_content_type() == "image/png"} == {
        "<months>",
        "<days>",
    }


def test_nothing_reaches_a_client_who_may_not_read_is_stopped_or_held(heron: Garden, office):
    closed = garden("Closed", place=(39.2, -121.1, 310.0)).client
    nobody = garden("Nobody", place=(39.2, -121.1, 310.0)).client
    nobody.access_from = MONTH
    nobody.save()
    stopped = garden("Stopped", place=(39.2, -121.1, 310.0)).client
    readable(stopped, "stopped@heron.test")
    SummaryStop.objects.create(client=stopped, reason="They asked for none.")
    held = garden("Held", place=(39.2, -121.1, 310.0)).client
    readable(held, "held@heron.test")
    Summary.objects.create(client=held, month=MONTH, state="held", held_because="The leak first.")
    bare = Client.objects.create(company=heron.company, name="Bare Court")
    told = run("--send")
    assert states(told) == {
        heron.client.name: "sent",
        closed.name: "access_closed",
        nobody.name: "no_reader",
        stopped.name: "stopped",
        held.name: "held",
        bare.name: "empty",
    }
    assert [to for to, _ in office.taken] == ["reader@heron.test"]
    errors = {row["name"]: row["error"] for row in told["clients"]}
    assert errors[held.name] == "The leak first."
    assert errors[stopped.name] == "They asked for none."


def test_an_address_that_is_refused_is_told_and_can_be_tried_again(heron: Garden, office):
    office.refuse = {"reader@heron.test": "550 nobody here"}
    [row] = run("--send")["clients"]
    assert (row["state"], row["sent_at"]) == ("failed", None)
    assert "nobody here" in row["error"]
    office.refuse = {}
    assert run("--send")["clients"][0]["state"] == "failed"  # a person says when to try again
    assert office.taken == []


def test_without_a_mail_server_letters_wait(heron: Garden, settings):
    settings.MAIL_SERVER = False
    assert run("--send")["clients"][0]["state"] == "waiting"


@pytest.mark.parametrize("month", ["2026-6", "2026-13", "June", ""])
def test_what_is_no_month_is_refused(month: str):
    with pytest.raises(CommandError, match="a month as YYYY-MM"):
        call_command("summaries", "--month", month)


def test_on_a_command_line_too_in_a_line_without_a_trace(capsys: Any):
    with pytest.raises(SystemExit):
        Command().run_from_argv(["manage.py", "summaries", "--month", "2026-13"])
    assert "'2026-13', accepted is a month as YYYY-MM" in capsys.readouterr().err.splitlines()[-1]


def test_a_summary_held_meanwhile_stops_no_other(heron: Garden, office, monkeypatch):
    other = garden("Other", days="daily", place=(39.2, -121.1, 310.0)).client
    readable(other, "other@heron.test")

    def stands(*given: Any) -> Any:
        rows = standings(*given)
        Summary.objects.filter(client=heron.client, state="draft").update(state="held")
        return rows

    monkeypatch.setattr("desk.management.commands.summaries.standings", stands)
    assert states(run("--send")) == {heron.client.name: "held", other.name: "sent"}


def test_what_a_person_should_look_at_goes_only_where_all_drafts_are_asked_for(heron: Garden, office):
    meter = heron.site.meters.create(name="Street", unit="kgal")
    UseAlert.objects.create(
        meter=meter, kind="idle", first=MONTH, last=MONTH, litres=900, found_on=MONTH.replace(day=2)
    )
    for arguments, state in (([], "draft"), (["--send", "--only-clear"], "draft"), (["--send"], "sent")):
        [row] = run(*arguments)["clients"]
        assert (row["state"], row["error"]) == (state, None)
        assert ("nothing explains" in (row["look_at"] or "")) == (state == "draft")
    assert len(office.taken) == 1


def test_one_that_cannot_be_printed_is_held_back_and_stops_no_other(heron: Garden, office):
    other = garden("Wren", minutes=25)
    readable(other.client, "wren@wren.test")
    make([heron.client, other.client], MONTH)
    for row in Summary.objects.all():
        approve(row, by=None)
    broken = Summary.objects.get(client=heron.client)
    Summary.objects.filter(pk=broken.pk).update(figures=broken.figures | {"months": [{"month": "June"}]})
    told = {row["client"]: row for row in run("--send")["clients"]}
    assert told[other.client.pk]["state"] == "sent"
    spoilt = told[heron.client.pk]
    assert (spoilt["state"], spoilt["pdf"]) == ("held", None)
    assert spoilt["error"].startswith("It couldn't be printed: ")
    assert [to for to, _ in office.taken] == ["wren@wren.test"]


def test_one_client_is_asked_for_by_number(heron: Garden):
    assert len(run("--client", str(heron.client.pk))["clients"]) == 1
    with pytest.raises(CommandError, match="no client 999999"):
        run("--client", "999999")


KILLED = """
import os, sys, django, tests.settings as s
from django.conf import settings
settings.configure(**{k: getattr(s, k) for k in dir(s) if k.isupper()} | {
    "MAIL_SERVER": True, "EMAIL_BACKEND": "django.core.mail.backends.smtp.EmailBackend", "AS_OF": s.AS_OF,
    "EMAIL_HOST": "127.0.0.1", "EMAIL_PORT": int(os.environ["PORT"]), "MEDIA_ROOT": os.environ["MEDIA"]})
settings.DATABASES["default"]["NAME"] = os.environ["NAME"]
django.setup()
from datetime import date
settings.AS_OF = date(2026, 7, 14)
from django.core.mail import EmailMultiAlternatives
from django.core.management import call_command
sends = EmailMultiAlternatives.send
def send(self, *a, **k):
    done = sends(self, *a, **k)
    if self.to == ["b@heron.test"]:
        os.kill(os.getpid(), 9)
    return done
EmailMultiAlternatives.send = send
call_command("summaries", "--month", "2026-06", "--send", "--json")
"""


@pytest.mark.django_db(transaction=True)
def test_killed_in_the_middle_nobody_gets_two_and_the_unsure_is_listed(heron: Garden, office, settings):
    for n, letter in enumerate("bcd"):
        more = garden(f"Zz{letter}", days="daily", place=(39.2, -121.1, 310.0 + n))
        readable(more.client, f"{letter}@heron.test")
    environment = {
        **os.environ,
        "PORT": str(settings.EMAIL_PORT),
        "NAME": str(connection.settings_dict["NAME"]),
        "MEDIA": str(settings.MEDIA_ROOT),
    }
    done = subprocess.run(
        [sys.executable, "-c", KILLED],
        env=environment,
        cwd=settings.BASE_DIR,
        capture_output=True,
        check=False,
    )
    assert done.returncode == -9, done.stderr.decode()
    assert len(office.taken) == 2
    told = run("--send")
    again = run("--send")
    assert sorted(to for to, _ in office.taken) == [
        "b@heron.test",
        "c@heron.test",
        "d@heron.test",
        "reader@heron.test",
    ]
    for one in (told, again):
        assert sorted(states(one).values()) == ["sent", "sent", "sent", "unsure"]
    [unsure] = [row for row in again["clients"] if row["state"] == "unsure"]
    assert unsure["letters"] == [
        {
            "to": "b@heron.test",
            "state": "unsure",
            "error": "The service stopped while this letter was handed over.",
        }
    ]
    assert Letter.objects.filter(state="unsure").count() == 1
