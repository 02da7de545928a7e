"""How long a night takes for a whole fleet, database included: ``python -m tests.benchmarks.whole_night``.

Invented fleets of one controller, two programs and eight zones a site, 120 days of soil water behind them,
in a SQLite file of its own. The first night stores a change for every program; the second changes nothing.
"""

import os
import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

ON = date(2026, 7, 14)
TIMEZONE = "America/Los_Angeles"
SINCE = ON - timedelta(days=120)
CELLS = 20


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        took = {sites: measured(sites, Path(folder) / f"{sites}.sqlite3") for sites in (20, 200, 1_000)}
    print(f"growth from 20 to 1,000 sites (50 times as many): {took[1_000] / took[20]:.0f} times")


def measured(sites: int, file: Path) -> float:
    """Run two nights in a process of their own and return what the first took."""
    import subprocess
    import sys

    env = os.environ | {"DATABASE_URL": f"sqlite:///{file}", "PYTHONPATH": "."}
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.whole_night", str(sites)],
        env=env,
        capture_output=True,
        text=True,
    )
    if done.returncode:
        raise SystemExit(done.stderr)
    print(done.stdout.strip())
    return float(done.stdout.split(" s first")[0].rsplit(" ", 1)[1])


def nights(sites: int) -> None:
    """Build a fleet and run its night twice."""
    import django

    os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
    os.environ |= {
        "BLUESTEM_ENV_FILE": "",
        "BLUESTEM_SECRET_KEY": "b" * 50,
        "BLUESTEM_AS_OF": ON.isoformat(),
        "BLUESTEM_WEATHER_SOURCE": "invented",
    }
    django.setup()
    from django.core.management import call_command

    from scheduling.services.nightly import run_night

    call_command("migrate", verbosity=0)
    build(sites)
    took = []
    for _ in range(2):
        start = time.process_time()
        _, report = run_night(on=ON, timezone=TIMEZONE)
        took.append(time.process_time() - start)
    print(
        f"{sites:>5,} sites, {report.counts['programs']:>5,} programs, {8 * sites:>6,} zones: "
        f"{took[0]:.2f} s first night, {took[1]:.2f} s again (processor time), "
        f"{1000 * took[0] / report.counts['programs']:.1f} ms a program"
    )


def build(count: int) -> None:
    """Store the fleet."""
    from fleet.models import Client, Company, Controller, Site, Zone
    from scheduling.models import Program, Setting, ZoneRun
    from weather.services.cells import cell_for
    from weather.services.fetch import fetch_due

    cells = [
        cell_for(latitude=38 + 0.06 * n, longitude=-121, elevation_m=100, timezone=TIMEZONE)
        for n in range(CELLS)
    ]
    fetch_due(on=ON, timezone=TIMEZONE, cells=cells, first=SINCE)
    company = Company.objects.create(name="Invented")
    clients = Client.objects.bulk_create(Client(company=company, name=f"Client {n}") for n in range(count))
    sites = Site.objects.bulk_create(
        Site(
            client=client,
            name="Grounds",
            latitude=38,
            longitude=-121,
            elevation_m=100,
            timezone=TIMEZONE,
            cell=cells[n % CELLS],
            balance_from=SINCE,
        )
        for n, client in enumerate(clients)
    )
    boxes = Controller.objects.bulk_create(Controller(site=site, name="Wall") for site in sites)
    zones = Zone.objects.bulk_create(zone(box, number) for box in boxes for number in range(8))
    programs = Program.objects.bulk_create(
        Program(controller=box, letter=letter, days="mon wed fri", starts=["03:00"], effective=SINCE)
        for box in boxes
        for letter in "AB"
    )
    ZoneRun.objects.bulk_create(
        ZoneRun(
            program=programs[2 * (n // 8) + n % 8 // 4],
            zone=one,
            minutes=30 + n % 8,
            cycle=15,
            soak=20,
            order=n % 8,
        )
        for n, one in enumerate(zones)
    )
    Setting.objects.bulk_create(
        Setting(program=program, percent=100, effective_from=SINCE) for program in programs
    )


def zone(box: "Controller", number: int) -> "Zone":  # type: ignore[name-defined]  # noqa: F821
    """Return a lawn or a bed."""
    from fleet.models import Zone

    lawn = number < 4
    return Zone(
        controller=box,
        number=number + 1,
        name="Lawn" if lawn else "Bed",
        plant="cool_turf" if lawn else "shrubs",
        head="rotor" if lawn else "drip",
        soil="loam",
        slope_percent=2,
        sun="full",
        area_m2=100,
        root_depth_mm=250,
        precipitation_rate_mm_h=12,
        uniformity=0.7,
    )


if __name__ == "__main__":
    import sys

    if len(sys.argv) > 1:
        nights(int(sys.argv[1]))
    else:
        main()
