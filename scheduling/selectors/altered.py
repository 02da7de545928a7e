"""Controllers and programs as an alteration would leave them, in memory: nothing of it is saved."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from fleet.models import Zone
from scheduling.models import Program, ZoneRun
from scheduling.models.detail import Altered, Detail, Holds, Ran
from scheduling.selectors.simulate import Box, Entry


def holds_of(program: Program, runs: Sequence[ZoneRun], *, percent: int) -> Holds:
    """Return what a program holds; ``runs`` in their order, each with its zone."""
    return Holds(
        days=program.days,
        starts=tuple(program.starts),
        percent=percent,
        runs=tuple(
            Ran(run.zone_id, run.zone.number, run.zone.name, run.minutes, run.cycle, run.soak) for run in runs
        ),
    )


def unsaved(one: Altered, *, controller: int, pk: int, effective: date) -> Program:
    """Return a program as it would be, not to be saved."""
    return Program(
        pk=pk,
        controller_id=controller,
        letter=one.letter,
        name=one.name,
        days=one.after.days,
        starts=list(one.after.starts),
        effective=effective,
    )


def unsaved_runs(one: Altered, program: Program, zones: Mapping[int, Zone]) -> list[ZoneRun]:
    """Return the runs of a program as it would be, for the zones that are known."""
    return [
        ZoneRun(
            program=program,
            zone=zones[run.zone],
            minutes=run.minutes,
            cycle=run.cycle,
            soak=run.soak,
            order=number,
        )
        for number, run in enumerate(one.after.runs, start=1)
        if run.zone in zones
    ]


def altered_box(box: Box, detail: Detail) -> Box:
    """Return what a controller would hold in a night."""
    zones = {run.zone_id: run.zone for entry in box.entries for run in entry.runs}
    by_letter = {entry.program.letter: entry for entry in box.entries}
    for one in detail.programs:
        found = by_letter.get(one.letter)
        like = found.program if found is not None else None
        program = unsaved(
            one,
            controller=box.controller.pk,
            pk=like.pk if like is not None else -ord(one.letter[0]),
            effective=like.effective if like is not None else date.min,
        )
        program.controller = box.controller
        by_letter[one.letter] = Entry(
            program,
            unsaved_runs(one, program, zones),
            percent=one.after.percent,
            skipped=found.skipped if found is not None else False,
        )
    return replace(box, entries=[by_letter[letter] for letter in sorted(by_letter)])
