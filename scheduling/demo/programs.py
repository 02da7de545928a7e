"""Programs, run times and the percents in force since the sites were taken over."""

from collections.abc import Iterator

from scheduling.demo.minutes import entered
from scheduling.demo.rows import Rows
from scheduling.demo.tables import Row, by_key, table, zone_rows
from scheduling.models import Program, Setting, ZoneRun


def add_programs(rows: Rows) -> None:
    sites, controllers = by_key("sites"), by_key("controllers")
    listed = table("programs")
    made = Program.objects.bulk_create(
        Program(
            controller=rows.controllers[row["controller"]],
            letter=row["letter"],
            name=row["name"],
            days=row["days"],
            starts=row["starts"].split(),
            effective=rows.calendar.ago(
                int(sites[controllers[row["controller"]]["site"]]["taken_over_days_ago"])
            ),
        )
        for row in listed
    )
    rows.programs = {(row["controller"], row["letter"]): p for row, p in zip(listed, made, strict=True)}


def add_runs(rows: Rows) -> None:
    ZoneRun.objects.bulk_create(run for row in zone_rows() for run in _runs(row, rows))


def add_settings(rows: Rows) -> None:
    """Add the percent found at take-over and those entered since."""
    Setting.objects.bulk_create(setting for row in table("programs") for setting in _settings(row, rows))


def _runs(row: Row, rows: Rows) -> Iterator[ZoneRun]:
    zone = rows.zones[row["controller"], int(row["number"])]
    letters = row["programs"].split()
    share = float(row["minutes_share"] or 1.0) / len(letters)
    for letter in letters:
        program = rows.programs[row["controller"], letter]
        run = entered(zone, zone.controller, days=program.days, starts=len(program.starts), share=share)
        yield ZoneRun(
            program=program,
            zone=zone,
            minutes=run.minutes,
            cycle=run.cycle,
            soak=run.soak,
            order=zone.number,
        )


def _settings(row: Row, rows: Rows) -> Iterator[Setting]:
    program = rows.programs[row["controller"], row["letter"]]
    yield Setting(
        program=program,
        percent=int(row["found_percent"]),
        effective_from=program.effective,
        how=Setting.How.FOUND,
    )
    for entry in row["since"].split():
        days_ago, percent = entry.split(":")
        yield Setting(
            program=program,
            percent=int(percent),
            effective_from=rows.calendar.ago(int(days_ago)),
            how=Setting.How.ENTERED,
        )
