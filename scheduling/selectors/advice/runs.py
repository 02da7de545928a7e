"""Runs that put water on faster or longer than the soil takes it, so that some runs off."""

from collections.abc import Iterator
from dataclasses import replace
from math import ceil, floor

import numpy as np

from fleet.models import Controller
from scheduling.models import Program
from scheduling.models.detail import Ran
from scheduling.numerics.gross_to_net import Application, longest_cycle_min, net_depth, shortest_soak_min
from scheduling.numerics.run_times import minutes_at
from scheduling.season.field import Field
from scheduling.selectors.advice.becoming import holding, with_runs
from scheduling.selectors.advice.found import Found
from scheduling.selectors.advice.look import Ints, Look
from scheduling.selectors.advice.soak import SOAK_STEP, cycle_and_soak

LEAST_SHARE = 0.05  # of what leaves the heads; less lies within what soil tables know: our own choice


def longer_than_the_soil_takes(look: Look) -> Iterator[Found]:
    """Yield the runs of which more than a twentieth runs off at the percent in force.

    What would keep it is one change a program: all its runs that run off, in cycles their soil takes.
    """
    for program, runs in look.running:
        found = list(_running_off(look, program, runs)) if runs.size else []
        split = {
            zone.pk: ran for zone, ran in ((one.zone, _split_so(look, one)) for one in found) if zone and ran
        }
        detail = with_runs(look, program, split) if split else None
        for one in found:
            kept = one.zone is not None and one.zone.pk in split
            yield replace(one, detail=detail if kept else None)


def _running_off(look: Look, program: Program, runs: Ints) -> Iterator[Found]:
    field = look.field
    whole = field.application
    a = Application(*(np.asarray(getattr(whole, name))[runs] for name in whole.__slots__))
    percent = look.percent_of(program) / 100.0
    minutes = minutes_at([percent], field.minutes[runs], field.minute_step[runs])[0]
    chain = net_depth(minutes, a, cycle_min=field.cycle_min[runs], soak_min=field.soak_min[runs])
    longest = longest_cycle_min(
        a.rate_mm_h,
        intake_mm_h=a.intake_mm_h,
        accumulation_mm=a.accumulation_mm,
        ground_share=a.ground_share,
    )
    starts = look.starts_a_week(program)
    for n, run in enumerate(runs):
        lost = float(chain.runoff_mm[n])
        if lost <= LEAST_SHARE * float(chain.gross_mm[n]) or lost <= 0:
            continue
        place = int(field.zone_of_run[run])
        zone = look.zone(place)
        cycle = max(1, floor(float(longest[n]) + 1e-9))
        soak = shortest_soak_min(
            float(cycle),
            rate_mm_h=np.asarray(a.rate_mm_h)[n],
            intake_mm_h=np.asarray(a.intake_mm_h)[n],
            ground_share=np.asarray(a.ground_share)[n],
        )
        pause = ceil(float(soak) / SOAK_STEP - 1e-9) * SOAK_STEP
        litres = lost * float(field.survey.area_m2[place]) * starts
        share = 100 * lost / float(chain.gross_mm[n])
        yield Found(
            kind="runoff",
            controller=look.controller_of(program),
            program=program,
            zone=zone,
            risk=1,
            words=(
                f"Zone {zone.number} {zone.name} runs {minutes[n]:g} minutes{_split(field, int(run))}; "
                f"its soil and slope take {cycle} at a time. {share:.0f} % runs off. "
                f"{_keeps(look.controller_of(program), cycle, pause)}"
            ),
            facts={
                "minutes": float(minutes[n]),
                "longest_min": float(longest[n]),
                "cycle": cycle,
                "soak": pause,
                "runoff_mm": lost,
                "runoff_l_week": litres,
            },
        )


def _split_so(look: Look, found: Found) -> Ran | None:
    """Return a run in cycles its soil takes, or None where they would be too short to wet anything."""
    assert found.program is not None
    assert found.zone is not None
    entered = holding(look, found.program).run_of(found.zone.pk)
    column = look.field.programs.index(found.program)
    place = look.field.index_of_zone[found.zone.pk]
    [run, *_] = np.flatnonzero((look.field.program_of_run == column) & (look.field.zone_of_run == place))
    cycle, soak = cycle_and_soak(look, int(run), float(found.facts["minutes"]))
    if entered is None or cycle is None or (cycle, soak) == (entered.cycle, entered.soak):
        return None
    return replace(entered, cycle=cycle, soak=soak)


def _split(field: Field, run: int) -> str:
    cycle, soak = float(field.cycle_min[run]), float(field.soak_min[run])
    if cycle == float("inf"):
        return " in one go"
    return f" in cycles of {cycle:g} with {soak:g} to soak"


def _keeps(controller: Controller, cycle: int, pause: float) -> str:
    if controller.cycle_and_soak:
        return f"Cycles of {cycle} minutes with {pause:g} minutes to soak keep it."
    return f"Several starts of at most {cycle} minutes, {cycle + pause:g} minutes apart, keep it."
