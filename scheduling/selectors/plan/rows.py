"""The rows of a plan: what each zone gets, and each program as it is entered."""

from collections.abc import Sequence

import numpy as np

from fleet.models.zones import SURVEYED
from scheduling.models import Program
from scheduling.selectors.plan import words
from scheduling.selectors.plan.asked import Asked
from scheduling.selectors.plan.entries import Draft
from scheduling.selectors.plan.minutes import held_cycle
from scheduling.selectors.plan.need import Needs
from scheduling.selectors.plan.result import Effect, ProgramPlan, RunPlan, ZonePlan
from scheduling.selectors.simulate import Box

WEEK = 7


def zone_plans(
    asked: Asked, needs: Needs, drafts: Sequence[Draft], effects: Sequence[Effect]
) -> list[ZonePlan]:
    """Return the zones by number."""
    found = []
    for draft in drafts:
        for share in draft.shares.runs:
            place, zone = share.place, needs.zones[share.place]
            total = share.minutes * draft.shares.starts
            plan = ZonePlan(
                zone=zone,
                letter=draft.group.letter,
                interval_days=int(needs.intervals[place]),
                need_mm_day=float(needs.mm_day[place]),
                raw_mm=float(needs.survey.raw_mm[place]),
                depth_mm=share.depth_mm,
                minutes=share.minutes,
                minutes_a_watering=total,
                cycles=share.cycles,
                cycle_min=share.cycle,
                longest_min=held_cycle(asked, needs, place),
                soak_min=share.soak,
                soak_needed_min=share.soak_needed,
                weekly_l=total * float(needs.flow_l_min[place]) * WEEK / draft.pattern.mean_gap,
                flow_l_min=float(needs.flow_l_min[place]),
                effect=effects[place],
                reasons=words.of_zone(asked, needs, draft, share),
                basis={
                    name: str(zone.basis.get(name, "assumed"))
                    for name in SURVEYED
                    if getattr(zone, name) not in (None, "")
                },
            )
            found.append(plan)
    return sorted(found, key=lambda one: one.zone.number)


def program_plans(asked: Asked, needs: Needs, drafts: Sequence[Draft], box: Box) -> list[ProgramPlan]:
    """Return the programs by letter."""
    whole = [share.place for draft in drafts for share in draft.shares.runs]
    one_percent = asked.controller.percent_scope == asked.controller.PercentScope.CONTROLLER
    found = []
    for draft, entry in zip(drafts, box.entries, strict=True):
        program: Program = entry.program
        own = whole if one_percent else list(draft.group.places)
        found.append(
            ProgramPlan(
                letter=program.letter,
                name=program.name,
                days=program.days,
                longest_gap=draft.pattern.longest_gap,
                starts=tuple(program.starts),
                runs=[RunPlan(run.zone, run.minutes, run.cycle, run.soak) for run in entry.runs],
                takes_min=draft.takes,
                month_percents=_percents(asked, needs, own),
                reasons=words.of_program(asked, needs, draft),
            )
        )
    return found


def _percents(asked: Asked, needs: Needs, places: Sequence[int]) -> list[int | None]:
    """Return each month's need as a percent of the peak month's, as the controller can hold it."""
    volume = (needs.monthly_mm_day[:, list(places)] * needs.survey.area_m2[list(places)]).sum(axis=1)
    step, most = asked.controller.percent_step, asked.controller.percent_max
    share = volume / volume[needs.peak]
    return [
        None if np.isnan(one) else min(int(step * np.floor(100 * one / step + 0.5)), most // step * step)
        for one in share.tolist()
    ]
