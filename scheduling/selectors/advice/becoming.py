"""What programs would hold if advice were followed, in the shape a change keeps it."""

from collections.abc import Mapping
from dataclasses import replace

from scheduling.models import Program
from scheduling.models.detail import Altered, Detail, Holds, Ran
from scheduling.selectors.advice.look import Look
from scheduling.selectors.altered import holds_of


def altered(look: Look, program: Program, **after: object) -> Altered:
    """Return a program with some of what it holds changed: ``days``, ``starts`` or ``runs``."""
    before = holding(look, program)
    return Altered(
        letter=program.letter,
        name=program.name,
        program=program.pk,
        before=before,
        after=replace(before, **after),  # type: ignore[arg-type]
    )


def with_runs(look: Look, program: Program, runs: Mapping[int, Ran]) -> Detail:
    """Return a program with other runs for some zones, by zone."""
    before = holding(look, program)
    then = tuple(runs.get(run.zone, run) for run in before.runs)
    return Detail((altered(look, program, runs=then),))


def with_days(look: Look, program: Program, days: str) -> Detail:
    """Return a program with other watering days."""
    return Detail((altered(look, program, days=days),))


def moved(look: Look, program: Program, zone: int, *, to: Program | Altered, run: Ran) -> Detail:
    """Return two programs, a zone gone from the one and run last in the other."""
    left = tuple(one for one in holding(look, program).runs if one.zone != zone)
    target = to if isinstance(to, Altered) else altered(look, to)
    return Detail(
        (
            altered(look, program, runs=left),
            replace(target, after=replace(target.after, runs=(*target.after.runs, run))),
        )
    )


def holding(look: Look, program: Program) -> Holds:
    """Return what a program holds in the coming night, zones without a survey and zones away included."""
    zones = {zone.pk: zone for zone in look.field.rows.zones}
    runs = [run for run in look.field.rows.runs if run.program_id == program.pk]
    for run in runs:
        run.zone = zones[run.zone_id]
    return holds_of(program, runs, percent=look.percent_of(program))


def unused_letter(look: Look, program: Program) -> str | None:
    """Return the first letter a controller could take for one more program, None where it holds no more."""
    controller = look.controller_of(program)
    running = {p.letter for p, _ in look.running if p.controller_id == controller.pk}
    if len(running) >= controller.program_capacity:
        return None
    return next((letter for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ" if letter not in running), None)
