"""A season as it would go on from tonight if programs held something else; nothing of it is saved."""

from dataclasses import replace

from fleet.models import Controller
from scheduling.models import Program, ZoneRun
from scheduling.models.detail import Detail
from scheduling.season.field import build_field
from scheduling.season.rows import Rows
from scheduling.selectors.altered import unsaved, unsaved_runs
from scheduling.selectors.season_load import Loaded


def altered_season(loaded: Loaded, controller: Controller, detail: Detail) -> Loaded:
    """Return a season whose coming nights run as a detail says; what is past and its balance stay.

    Each altered program runs at the percent the detail gives it afterwards, with the skips that are left.
    """
    field = loaded.field
    boundaries = {client: policy.uniformity_margin for client, policy in loaded.policies.items()}
    rows = _rows(field.rows, controller, detail)
    return replace(loaded, field=build_field(rows, field.sky, boundaries=boundaries))


def _rows(rows: Rows, controller: Controller, detail: Detail) -> Rows:
    zones = {zone.pk: zone for zone in rows.zones}
    programs, runs, settings, skips = list(rows.programs), list(rows.runs), list(rows.settings), []
    for number, one in enumerate(detail.programs, start=1):
        then = unsaved(one, controller=controller.pk, pk=-number, effective=rows.on)
        before = _versions(rows, controller, one.letter)
        gone = {version.pk for version in before if version.effective == rows.on}
        programs = [version for version in programs if version.pk not in gone] + [then]
        runs = [run for run in runs if run.program_id not in gone] + unsaved_runs(one, then, zones)
        settings.append((then.pk, rows.on, one.after.percent))
        newest = before[-1].pk if before else None
        skips += [(then.pk, first, last) for program, first, last in rows.skips if program == newest]
    return _sorted(replace(rows, programs=programs, settings=settings, skips=[*rows.skips, *skips]), runs)


def _versions(rows: Rows, controller: Controller, letter: str) -> list[Program]:
    """Return the versions of a program up to tonight, the newest last."""
    return [p for p in rows.programs if p.controller_id == controller.pk and p.letter == letter]


def _sorted(rows: Rows, runs: list[ZoneRun]) -> Rows:
    place = {controller.pk: n for n, controller in enumerate(rows.controllers)}
    programs = sorted(rows.programs, key=lambda p: (place[p.controller_id], p.letter, p.effective))
    rank = {program.pk: n for n, program in enumerate(programs)}
    runs = sorted(runs, key=lambda run: (rank[run.program_id], run.order, run.pk or 0))
    return replace(rows, programs=programs, runs=runs)
