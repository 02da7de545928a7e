"""``manage.py nightly``: the night, once, for every timezone with sites."""

import json
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from scheduling.models import NightlyRun
from scheduling.services.night_report import COUNTS, NightReport
from scheduling.services.nightly import NightAlreadyRunning, run_nights


class Command(BaseCommand):
    help = "Pull the weather, recompute every program and propose changes. Running it twice changes nothing."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--date", type=date.fromisoformat, help="Decide on the morning of this day, YYYY-MM-DD."
        )
        parser.add_argument("--timezone", help="Only sites in this timezone.")
        parser.add_argument("--json", action="store_true", help="Print one JSON object and nothing else.")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            nights = run_nights(on=options["date"], timezone=options["timezone"])
        except NightAlreadyRunning as busy:
            raise CommandError(str(busy), returncode=1) from busy
        if options["json"]:
            self.stdout.write(json.dumps(summary(nights), indent=2))
            return
        if not nights:
            self.stdout.write("There are no sites yet, so there was nothing to do.")
        for run, report in nights:
            self.stdout.write(f"Night of {run.date}, {run.timezone}")
            for line in spoken(report):
                self.stdout.write(f"  {line}")


def summary(nights: list[tuple[NightlyRun, NightReport]]) -> dict[str, Any]:
    """Return what this time did over all timezones, as one object; ``runs`` has each by itself."""
    runs = [one(run, report) for run, report in nights]
    if len(runs) == 1:
        return runs[0] | {"runs": runs}
    observed = [r["weather"]["observed_through"] for r in runs if r["weather"]["observed_through"]]
    return {
        "run_id": runs[0]["run_id"] if runs else None,
        "date": runs[0]["date"] if runs else None,
        "started_at": min((r["started_at"] for r in runs), default=None),
        "finished_at": max((r["finished_at"] for r in runs), default=None),
        "counts": {name: sum(r["counts"][name] for r in runs) for name in COUNTS},
        "weather": {
            "observed_through": min(observed, default=None),
            "fallback_days": max((r["weather"]["fallback_days"] for r in runs), default=0),
        },
        "failures": [failure for r in runs for failure in r["failures"]],
        "runs": runs,
    }


def one(run: NightlyRun, report: NightReport) -> dict[str, Any]:
    """Return one timezone's night."""
    return {
        "run_id": run.pk,
        "date": run.date.isoformat(),
        "timezone": run.timezone,
        "started_at": run.started_at.isoformat(),
        "finished_at": run.finished_at.isoformat() if run.finished_at else None,
        "counts": report.counts,
        "weather": run.weather,
        "failures": report.failures,
    }


def spoken(report: NightReport) -> list[str]:
    """Return this time's counts and failures as lines."""
    lines = [", ".join(f"{count} {name.replace('_', ' ')}" for name, count in report.counts.items())]
    return lines + [f"{failure['code']}: {failure['message']}" for failure in report.failures]
