"""``manage.py meter_hours``: a long file of use by the hour into one meter, all of it or nothing."""

import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from common.errors import BluestemError
from desk.meter_files.kinds import CLOCKS, ENDS, HOURS, ORDERS, UNITS
from desk.meter_files.reading import Said
from desk.meter_files.stream import hours_of
from fleet.models import Meter, User
from fleet.services.meter_hours import store_hours


class Command(BaseCommand):
    help = (
        "Store use by the hour from a CSV of any length whose head names time and use. All lines or none; "
        "what is there already is told and stays, so a file may be sent again."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="CSV in UTF-8, such as Time,Gallons.")
        parser.add_argument("--meter", type=int, required=True, help="The meter's number, as in its address.")
        parser.add_argument("--by", required=True, help="The e-mail address of who brings it.")
        parser.add_argument("--unit", choices=[key for key, _ in UNITS], help="Default: the meter's.")
        parser.add_argument("--minutes", type=int, default=60, help="How long an interval lasts. Default 60.")
        parser.add_argument("--order", choices=[key for key, _ in ORDERS], default="mdy")
        parser.add_argument("--clock", choices=[key for key, _ in CLOCKS], default="local")
        parser.add_argument("--ends", choices=[key for key, _ in ENDS], default="begin")
        parser.add_argument("--json", action="store_true", help="Print one JSON object and nothing else.")

    def handle(self, *args: Any, **options: Any) -> None:
        meter = Meter.objects.select_related("site__client").filter(pk=options["meter"]).first()
        by = User.objects.filter(email=options["by"].strip().lower()).first()
        if meter is None or by is None:
            raise CommandError("There is no such meter, or nobody with this address.")
        said = Said(
            kind=HOURS,
            unit=options["unit"] or meter.unit,
            columns=[],
            order=options["order"],
            clock=options["clock"],
            ends=options["ends"],
            minutes=str(options["minutes"]),
        )
        try:
            with options["file"].open(newline="", encoding="utf-8-sig") as lines:
                taken = store_hours(meter=meter, by=by, rows=hours_of(lines, said, meter=meter))
        except BluestemError as error:
            raise CommandError(f"Nothing was stored. {error.message}") from error
        except (OSError, UnicodeDecodeError) as error:
            raise CommandError(f"Nothing was stored. {options['file']} can't be read: {error}") from error
        counts = {name: getattr(taken, name) for name in ("stored", "same", "conflicting")}
        if options["json"]:
            conflicts = [one._asdict() | {"begins_at": one.begins_at.isoformat()} for one in taken.conflicts]
            self.stdout.write(json.dumps(counts | {"conflicts": conflicts}))
            return
        self.stdout.write(", ".join(f"{count:,} {name}" for name, count in counts.items()) + ".")
        for one in taken.conflicts[:10]:
            at = one.begins_at.isoformat()
            self.stdout.write(f"  {at}: {one.sent_l:,.1f} L in the file, {one.kept_l:,.1f} L is kept")
