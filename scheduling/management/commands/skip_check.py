"""``manage.py skip_check``: the late-afternoon look at tonight's skips."""

import json
from dataclasses import asdict
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from scheduling.services.skip_check import run_skip_checks


class Command(BaseCommand):
    help = "Decide again on tonight's rain, freeze and wind skips from the newest forecast."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--date", type=date.fromisoformat, help="The night that begins on this day, YYYY-MM-DD."
        )
        parser.add_argument("--json", action="store_true", help="Print one JSON object and nothing else.")

    def handle(self, *args: Any, **options: Any) -> None:
        results = run_skip_checks(on=options["date"])
        if options["json"]:
            rows = [asdict(result) | {"date": result.date.isoformat()} for result in results]
            self.stdout.write(json.dumps({"checks": rows}, indent=2))
            return
        for result in results:
            self.stdout.write(
                f"{result.timezone}: {result.proposed} skips proposed, {result.superseded} withdrawn, "
                f"{result.unchanged} programs left as they are."
            )
