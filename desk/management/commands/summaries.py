"""``manage.py summaries``: a month's summaries made, and with ``--send`` approved and handed over."""

import json
from argparse import ArgumentTypeError
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from common.errors import MovedOn, Refused
from desk.summaries.paper import as_dict, put_papers
from desk.summaries.send import print_approved, to_print
from fleet.models import Client, Letter
from fleet.services.letters.post import AT_ONCE, post_letters
from reports.selectors.summary.states import DRAFT, LOOK, SENT, UNSURE, Standing, standings
from reports.services.summaries import approve, make


class Command(BaseCommand):
    help = (
        "Make the summaries of a month for every client. With --send, approve those that can go and hand "
        "them over; run it as often as you like: no letter goes twice by itself."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--month", required=True, type=_month, help="Which month, as YYYY-MM.")
        parser.add_argument(
            "--client", type=int, action="append", help="Only this client (its number); again for more."
        )
        parser.add_argument(
            "--send", action="store_true", help="Approve every draft that can go, and send it."
        )
        parser.add_argument(
            "--only-clear",
            action="store_true",
            help="With --send, leave the drafts that a person should look at first, as the pages do.",
        )
        parser.add_argument(
            "--folder", type=Path, help="Where to put the PDFs (default: summaries/ beside the uploads)."
        )
        parser.add_argument("--json", action="store_true", help="Print one JSON object and nothing else.")

    def handle(self, *args: Any, **options: Any) -> None:
        month: date = options["month"]
        clients = _clients(options["client"])
        make(clients, month)
        if options["send"]:
            self._send(clients, month, quiet=options["json"], only_clear=options["only_clear"])
        folder = options["folder"] or Path(settings.MEDIA_ROOT) / "summaries"
        rows = standings(clients, month)
        papers = put_papers(rows, folder / f"{month:%Y-%m}")
        if options["json"]:
            told = {
                "month": f"{month:%Y-%m}",
                "clients": [as_dict(row, papers.get(row.client.pk)) for row in rows],
            }
            self.stdout.write(json.dumps(told))
            return
        self._tell(rows)

    def _send(self, clients: list[Client], month: date, *, quiet: bool, only_clear: bool) -> None:
        states = (DRAFT,) if only_clear else (DRAFT, LOOK)
        for row in (row for row in standings(clients, month) if row.state in states):
            if row.summary is not None:
                with suppress(Refused, MovedOn):  # held or altered meanwhile: its own state says so
                    approve(row.summary, by=None)
        waiting = to_print()
        print_approved(waiting, told=lambda done: None if quiet else self._progress(done, len(waiting)))
        while True:
            posted = post_letters(kinds=[Letter.Kind.SUMMARY])
            if len(posted.sent) + len(posted.again) + len(posted.failed) < AT_ONCE:
                break
        if posted.no_server and not quiet:
            self.stderr.write("No mail server is set (BLUESTEM_MAIL_URL): letters wait.")

    def _progress(self, done: int, of: int) -> None:
        if done % 50 == 0 or done == of:
            self.stdout.write(f"printed {done} of {of}")

    def _tell(self, rows: list[Standing]) -> None:
        for row in rows:
            error = f": {row.error}" if row.error else ""
            self.stdout.write(f"{row.client}: {row.words}{error}")
        sent = sum(row.state == SENT for row in rows)
        unsure = sum(row.state == UNSURE for row in rows)
        self.stdout.write(
            f"{len(rows)} clients, {sent} sent, {unsure} unsure (decide on the page of letters)"
        )


def _clients(numbers: list[int] | None) -> list[Client]:
    rows = Client.objects.select_related("company").order_by("company__name", "name", "pk")
    if numbers is None:
        return list(rows)
    found = list(rows.filter(pk__in=numbers))
    missing = {*numbers} - {client.pk for client in found}
    if missing:
        raise CommandError(f"There is no client {', '.join(map(str, sorted(missing)))}.")
    return found


def _month(text: str) -> date:
    try:
        return date.fromisoformat(f"{text}-01")
    except ValueError as error:
        raise ArgumentTypeError(f"{text!r}, accepted is a month as YYYY-MM.") from error
