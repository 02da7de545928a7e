"""``manage.py recompute``: rebuild the monthly totals from the days they add up."""

from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from common import clock
from reports.services.recompute import recompute


class Command(BaseCommand):
    help = "Rebuild the monthly totals of every program. They are derived: doing it again changes nothing."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--date", type=date.fromisoformat, help="Count days before this one, YYYY-MM-DD.")
        parser.add_argument(
            "--since", type=date.fromisoformat, help="Leave months that end before this day as they are."
        )

    def handle(self, *args: Any, **options: Any) -> None:
        count = recompute(on=options["date"] or clock.today("UTC"), since=options["since"])
        self.stdout.write(f"{count} months of programs are up to date.")
