"""``manage.py backfill --days N``: pull past days for every cell, from the archive where they are old."""

from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand

from weather.management.printing import lines
from weather.services.mornings import backfill


class Command(BaseCommand):
    help = "Pull the last N days for every weather cell. Long ranges weigh much in the source's allowance."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--days", type=int, required=True, help="how many days back")
        parser.add_argument(
            "--date", type=date.fromisoformat, help="count back from this morning, YYYY-MM-DD"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        for report in backfill(days=options["days"], on=options["date"]):
            self.stdout.write("\n".join(lines(report)))
