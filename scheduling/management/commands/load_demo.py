"""Load the demo: an invented contractor, its clients and its weather, on one summer day."""

from argparse import ArgumentParser
from time import perf_counter
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from scheduling.demo.company import COMPANY, PASSWORD, PEOPLE
from scheduling.demo.dates import demo_calendar
from scheduling.demo.loading import DEMO, EMPTY, OTHER, load, remove, state


class Command(BaseCommand):
    help = "Load the demo into an empty database. A second call changes nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--fresh", action="store_true", help="Take the demo out and load it anew.")

    def handle(self, *args: Any, **options: Any) -> None:
        found = state()
        if found == OTHER:
            raise CommandError(
                "This database holds a company or people that aren't the demo's. Nothing was changed; "
                "the demo only goes into a database of its own."
            )
        if found == DEMO and not options["fresh"]:
            self.stdout.write(f"The demo is already here ({COMPANY}); nothing was changed.")
            return
        self._load(anew=found != EMPTY)

    def _load(self, *, anew: bool) -> None:
        began = perf_counter()
        with transaction.atomic():
            if anew:
                remove()
            loaded = load()
        self.stdout.write(
            f"{COMPANY}, invented, on {demo_calendar().on}: {loaded.clients} clients, {loaded.sites} sites, "
            f"{loaded.controllers} controllers, {loaded.zones} zones, {loaded.programs} programs, "
            f"weather for {loaded.cells} cells ({perf_counter() - began:.1f} s)."
        )
        self.stdout.write(f"Sign in as {', '.join(p.email for p in PEOPLE)}; password {PASSWORD}.")
