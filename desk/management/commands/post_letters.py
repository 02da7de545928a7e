"""``manage.py post_letters``: letters written and handed over, for an installation without workers."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from desk.letters.answers import write_answers
from desk.letters.opening import write_due
from desk.summaries.send import print_approved, to_print
from fleet.services.letters.post import post_letters


class Command(BaseCommand):
    help = (
        "Write and hand over the letters whose time has come. Run it as often as you like: none goes twice."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--json", action="store_true", help="Print one JSON object and nothing else.")

    def handle(self, *args: Any, **options: Any) -> None:
        written = len(write_due()) + len(write_answers()) + print_approved(to_print())
        posted = post_letters()
        counts = {"written": written} | posted.as_dict()
        if options["json"]:
            self.stdout.write(json.dumps(counts | {"mail_server": not posted.no_server}))
            return
        self.stdout.write(", ".join(f"{count} {name}" for name, count in counts.items()))
        if posted.no_server:
            self.stdout.write("No mail server is set (BLUESTEM_MAIL_URL): letters wait.")
