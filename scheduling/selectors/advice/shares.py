"""A zone that shares a program with zones whose soil dries out much sooner, and gets water it can't use."""

from collections.abc import Iterator

import numpy as np

from scheduling.numerics.grouping import days_of_water
from scheduling.selectors.advice.another_program import another_program
from scheduling.selectors.advice.found import Found
from scheduling.selectors.advice.look import WEEK, Ints, Look

UNLIKE = 2.0  # times as long as the others' soil; our own choice
LEAST_SHARE = 0.15  # of what it gets, before it is worth a word


def among_unlike_zones(look: Look) -> Iterator[Found]:
    """Yield the zones whose soil lasts at least twice as long as their companions' and that get too much."""
    for program, runs in look.running:
        zones = np.unique(look.field.zone_of_run[runs])
        if zones.size < 2:
            continue
        lasts = days_of_water(look.field.survey.raw_mm[zones], np.maximum(look.peak_mm_day(zones), 0.01))
        gross = np.bincount(
            np.searchsorted(zones, look.field.zone_of_run[runs]),
            weights=look.gross_mm_week(program, runs),
            minlength=zones.size,
        )
        needs = look.need_mm_week(zones) / look.efficiency(zones)
        area = look.field.survey.area_m2[zones]
        for n, place in enumerate(zones):
            others = float(np.median(np.delete(lasts, n)))
            spare = float(gross[n] - needs[n])
            if lasts[n] < UNLIKE * others or spare < LEAST_SHARE * gross[n]:
                continue
            zone = look.zone(int(place))
            yield Found(
                kind="unlike zones",
                controller=look.controller_of(program),
                program=program,
                zone=zone,
                litres_week=spare * float(area[n]),
                words=(
                    f"Zone {zone.number} {zone.name} is watered with zones whose soil lasts about "
                    f"{_days(others)}; its own lasts {_days(float(lasts[n]))}. In a program of its own it "
                    f"would need {100 * needs[n] / gross[n]:.0f} % of the water it gets."
                ),
                facts={
                    "lasts_days": float(lasts[n]),
                    "others_days": others,
                    "gets_l_week": float(gross[n] * area[n]),
                    "needs_l_week": float(needs[n] * area[n]),
                    "days": WEEK,
                },
                detail=another_program(look, program, _run_of(look, runs, int(place))),
            )


def _run_of(look: Look, runs: Ints, place: int) -> int:
    return int(next(run for run in runs if look.field.zone_of_run[run] == place))


def _days(days: float) -> str:
    return f"{days:.0f} days" if days >= 1.5 else "a day"
