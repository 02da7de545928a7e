"""How long a million hours of a meter take to store: ``python -m tests.benchmarks.meter_rows``.

A CSV of a million invented lines goes through what ``manage.py meter_hours`` does to each (moment, amount and
unit read, duplicates told apart), all in one transaction, on SQLite and, where it answers, on PostgreSQL.
Beside it the least there is: the same rows, ready in memory, by one bare ``executemany``, or one bare
``COPY``. Target: within 4 times. Memory: by how much the process grew at its largest while importing.
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from scripts.postgres import find
from tests.benchmarks.many_users import SETTINGS, a_database

ROWS = int(os.environ.get("BLUESTEM_METER_ROWS", "1000000"))
TIMES = int(os.environ.get("BLUESTEM_METER_TIMES", "2"))
FIRST = datetime(1975, 1, 1, tzinfo=UTC)
TARGET = 4.0
COLUMNS = "meter_id, begins_at, minutes, used_l"
MINUTES = 15  # a million of them end in 2003


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        run("SQLite", f"sqlite:///{folder}/meters.sqlite3", folder)
        address, why_not = find()
        if not address:
            print(f"PostgreSQL left out: {why_not}")
            return
        with a_database(address) as database:
            run("PostgreSQL", database, folder)


def run(name: str, database: str, folder: str) -> None:
    """Measure one database; each way in a process of its own, so that memory is its own too."""
    environment = os.environ | SETTINGS | {"DATABASE_URL": database}
    migrate = [sys.executable, "manage.py", "migrate", "-v0", "--skip-checks"]
    subprocess.run(migrate, env=environment, check=True)
    found = {}
    for way in ("bare", "import"):
        told = subprocess.run(
            [sys.executable, "-m", "tests.benchmarks.meter_rows", way, folder],
            env=environment,
            check=True,
            text=True,
            stdout=subprocess.PIPE,
        )
        found[way] = [float(word) for word in told.stdout.split()]
    (bare, _, _), (imported, again, grown) = found["bare"], found["import"]
    print(
        f"{name:<11} {ROWS:,} rows: bare {bare:.1f} s, from CSV {imported:.1f} s, "
        f"{imported / bare:.1f} times (target {TARGET:g}); all of them again {again:.1f} s; "
        f"memory +{grown:.0f} MB"
    )


def measure(way: str, folder: str) -> None:
    """Print the seconds of one way, of sending all again, and by how many MB the process grew."""
    import django

    django.setup()
    from fleet.models import MeterHour

    meter, owner = a_meter()
    file = Path(folder) / "hours.csv"
    if way == "bare":
        print(shortest(lambda: bare(meter.pk), MeterHour), 0.0, 0.0)
        return
    written(file)
    before = largest_mb()
    took = shortest(lambda: imported(meter, owner, file), MeterHour, keep=True)
    began = time.perf_counter()
    again = imported(meter, owner, file)
    repeated = time.perf_counter() - began
    assert again.same == ROWS == MeterHour.objects.count(), again
    print(took, repeated, largest_mb() - before)


def shortest(store: Callable[[], Any], model: Any, *, keep: bool = False) -> float:
    """Return the shortest of some runs into the empty table, by what a run says or the clock. [s]"""
    took = []
    for _ in range(TIMES):
        model.objects.all()._raw_delete(model.objects.db)
        began = time.perf_counter()
        said = store()
        took.append(said if isinstance(said, float) else time.perf_counter() - began)
    if not keep:
        model.objects.all()._raw_delete(model.objects.db)
    return min(took)


def bare(meter: int) -> float:
    """Store rows that are ready in memory by the barest way the database has; return the seconds."""
    from django.db import connection, transaction

    copies = connection.vendor == "postgresql"
    moments = [FIRST + timedelta(minutes=MINUTES * n) for n in range(ROWS)]
    ready = moments if copies else [f"{moment:%Y-%m-%d %H:%M:%S}" for moment in moments]
    rows: list[Any] = [(meter, moment, MINUTES, n % 700 / 10) for n, moment in enumerate(ready)]
    began = time.perf_counter()
    with transaction.atomic(), connection.cursor() as cursor:
        if copies:
            with cursor.copy(f"COPY fleet_meterhour ({COLUMNS}) FROM STDIN") as copy:
                for row in rows:
                    copy.write_row(row)
        else:
            cursor.executemany(
                f"INSERT INTO fleet_meterhour ({COLUMNS}) VALUES (%s, %s, %s, %s)",
                rows,
            )
    return time.perf_counter() - began


def imported(meter: Any, owner: Any, file: Path) -> Any:
    """Store the file as the command does."""
    from desk.meter_files.reading import Said
    from desk.meter_files.stream import hours_of
    from fleet.services.meter_hours import store_hours

    said = Said(kind="hours", unit="gal", columns=[], minutes=str(MINUTES))
    with file.open(newline="") as lines:
        return store_hours(meter=meter, by=owner, rows=hours_of(lines, said, meter=meter))


def written(file: Path) -> None:
    """Write the CSV: a moment with its offset and gallons, line by line."""
    with file.open("w") as lines:
        lines.write("Time,Gallons\n")
        for n in range(ROWS):
            moment = FIRST + timedelta(minutes=MINUTES * n)
            lines.write(f"{moment:%Y-%m-%dT%H:%M:%S+00:00},{n % 700 / 10}\n")


def a_meter() -> tuple[Any, Any]:
    """Return the meter of an invented company, and its owner."""
    from fleet.models import Client, Company, Membership, Meter, Site, User

    company, _ = Company.objects.get_or_create(name="Load")
    owner = User.objects.filter(email="owner@load.test").first()
    if owner is None:
        owner = User.objects.create_user("owner@load.test", "three herons at dawn")
        Membership.objects.create(user=owner, company=company, role="owner")
    client, _ = Client.objects.get_or_create(company=company, name="Load")
    place = {"latitude": 39.2, "longitude": -121.1, "elevation_m": 310.0, "timezone": "America/Los_Angeles"}
    site, _ = Site.objects.get_or_create(client=client, name="Load", defaults=place)
    return Meter.objects.get_or_create(site=site, name="Main", defaults={"unit": "gal"})[0], owner


def largest_mb() -> float:
    """Return the most memory this process has held. [MB]"""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


if __name__ == "__main__":
    if len(sys.argv) > 1:
        measure(*sys.argv[1:])
    else:
        main()
