"""``manage.py fetch_weather [--date D] [--failed]``: pull a morning's weather for every cell."""

from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand

from weather.management.printing import lines
from weather.services.mornings import fetch_everywhere
from weather.services.retry import drain


class Command(BaseCommand):
    help = "Pull observed days and the forecast for every weather cell. A second run finds everything done."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--date", type=date.fromisoformat, help="the morning to fetch for, YYYY-MM-DD")
        parser.add_argument(
            "--failed", action="store_true", help="only what failed before and whose next try has come"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        reports = [drain()] if options["failed"] else fetch_everywhere(on=options["date"])
        for report in reports:
            self.stdout.write("\n".join(lines(report)))
