"""The account of soil water up to this morning, derived anew every time."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scheduling.numerics.season_balance import Season, season_balance
from scheduling.season.field import Field

Floats = NDArray[np.float64]

MET_WITHIN_MM = 0.5


@dataclass(frozen=True)
class Balance:
    """Depletion of every zone on the morning of the decision, counted from a full and from a dry start.

    Where the two have met (through rain, watering or an observation) the start no longer matters; where they
    haven't, ``depletion_mm`` is the drier one and ``settled`` is false.
    """

    depletion_mm: Floats
    wet_mm: Floats
    settled: NDArray[np.bool_]
    season: Season


def balance_of(field: Field, *, keep: bool = False) -> Balance:
    """Run the balance from its stored start to yesterday evening."""
    wet = _run(field, dry=False, keep=False)
    dry = _run(field, dry=True, keep=keep)
    drier = np.maximum(wet.depletion_mm, dry.depletion_mm)
    return Balance(
        depletion_mm=drier,
        wet_mm=wet.depletion_mm,
        settled=np.abs(dry.depletion_mm - wet.depletion_mm) <= MET_WITHIN_MM,
        season=dry,
    )


def _run(field: Field, *, dry: bool, keep: bool) -> Season:
    start, marks = field.marks_of_soil(dry=dry)
    past = slice(0, field.today)
    return season_balance(
        et_mm=field.weather.reference_et_mm[past],
        rain_mm=field.rain_effective[past],
        rain_share=1.0,  # already credited, day by day, by how each day is known
        cell_of_zone=field.cell_of_zone,
        kl=field.survey.kl,
        month_of_day=field.months[past],
        taw_mm=field.survey.taw_mm,
        raw_mm=field.survey.raw_mm,
        start_depletion_mm=start,
        watering=field.watering(last=field.today),
        trims=field.trim_marks,
        observations=marks,
        keep=keep,
    )
