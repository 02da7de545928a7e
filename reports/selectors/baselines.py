"""What a program would have done without the service: as it was found, or by monthly percents."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scheduling.models import Program
from scheduling.season.field import Field
from scheduling.season.nights import waterings
from scheduling.season.sensors import suspended
from weather.models import MonthlyNormal

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

FOUND, MONTHLY = "found", "monthly"
NAMES = {
    FOUND: "the settings found when the contractor took over, left as they were",
    MONTHLY: "the same programs with a percent for each month, from the usual ET of the place",
}


@dataclass(frozen=True)
class Baseline:
    """Starts and percents of every program on the field's axes; programs that came later have no starts."""

    starts: Ints  # (days, programs)
    percents: NDArray[np.int64]  # (days, programs)
    known: NDArray[np.bool_]  # (programs,)


def baselines_of(field: Field) -> dict[str, Baseline]:
    """Return both baselines of the programs of a field."""
    first = _first_versions(field.programs)
    starts = _starts(field, first)
    found = _found_percents(field, first)
    monthly, known = _monthly_percents(field, first)
    everywhere = np.ones(len(field.programs), dtype=bool)
    days = len(field.days)
    return {
        FOUND: Baseline(starts, np.broadcast_to(found, (days, found.size)), everywhere),
        MONTHLY: Baseline(starts, monthly[field.months - 1], known),
    }


def _first_versions(programs: Sequence[Program]) -> list[int]:
    oldest: dict[tuple[int, str], int] = {}
    for place, program in enumerate(programs):
        key = (program.controller_id, program.letter)
        if key not in oldest or program.effective < programs[oldest[key]].effective:
            oldest[key] = place
    return sorted(oldest.values())


def _starts(field: Field, first: list[int]) -> Ints:
    """Return the starts of the first version of every program, sensors taken off, our skips not."""
    starts = np.zeros((len(field.days), len(field.programs)), dtype=np.intp)
    chosen = [field.programs[place] for place in first]
    starts[:, first] = waterings(chosen, first=field.days[0], count=len(field.days))
    sites = {site.pk: site for site in field.rows.sites}
    site_of_controller = {c.pk: sites[c.site_id] for c in field.rows.controllers}
    held_back = suspended(field.rows, field.sky, site_of_controller=site_of_controller)
    return np.where(held_back, 0, starts)


def _found_percents(field: Field, first: list[int]) -> NDArray[np.int64]:
    """Return the percent each program was found at: its oldest setting, else 100."""
    place_of = {field.programs[place].pk: place for place in first}
    found = np.full(len(field.programs), 100, dtype=np.int64)
    for program_id, _, percent in reversed(field.rows.settings):  # ordered by date, oldest written last
        if program_id in place_of:
            found[place_of[program_id]] = percent
    return found


def _monthly_percents(field: Field, first: list[int]) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """Return a percent for each month and program, (12, programs), and which programs have one.

    100 at the month its plants need most, the other months in proportion to usual ET times their landscape
    coefficient, to the controller's step. Common practice, no source.
    """
    cells = field.weather.cell_ids  # a cell stands here again for each of its sites with rain of its own
    usual = np.full((12, len(cells)), np.nan)
    for cell, month, et in MonthlyNormal.objects.filter(cell__in=set(cells.tolist())).values_list(
        "cell", "month", "reference_et_mm"
    ):
        usual[month - 1, cells == cell] = et
    step = {c.pk: c.percent_step for c in field.rows.controllers}
    percents = np.full((12, len(field.programs)), 100, dtype=np.int64)
    known = np.zeros(len(field.programs), dtype=bool)
    for place in first:
        zones = np.unique(field.zone_of_run[field.program_of_run == place])
        if not zones.size:
            known[place] = True  # none of its water is counted, so there is none to set beside it
            continue
        need = usual[:, field.cell_of_zone[zones[0]]] * field.survey.kl[:, zones].mean(axis=1)
        if np.isnan(need).any():
            continue
        by = step[field.programs[place].controller_id]
        percents[:, place] = np.floor(100.0 * need / need.max() / by + 0.5) * by
        known[place] = True
    return percents, known
