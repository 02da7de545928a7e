"""A landscape of a few zones and some weather, invented."""

import numpy as np

from scheduling.numerics.gross_to_net import Application
from scheduling.numerics.replay.days import Weather, live_through
from scheduling.numerics.replay.foresight import Errors, made_wrong
from scheduling.numerics.replay.landscape import Ground, Landscape, Runs
from scheduling.numerics.replay.rules import NIGHTLY

HORIZON = 40


def landscape(*, zones=3, programs=(0, 0, 1)):
    """Return turf, beds and a drip line: programs as told, minutes that suit 6 mm a day every other day."""
    raw = np.array([15.0, 24.0, 40.0])[:zones]
    rate = np.array([30.0, 12.0, 6.0])[:zones]
    return Landscape(
        ground=Ground(
            kl=np.tile(np.array([0.8, 0.6, 0.5])[:zones], (12, 1)),
            taw_mm=2.0 * raw,
            raw_mm=raw,
            area_m2=np.array([100.0, 50.0, 20.0])[:zones],
            cell=np.zeros(zones, dtype=np.intp),
        ),
        runs=Runs(
            zone=np.arange(zones),
            program=np.array(programs[:zones]),
            minutes=np.array([25.0, 45.0, 70.0])[:zones],
            step=np.ones(zones),
            cycle_min=np.array([8.0, np.inf, np.inf])[:zones],
            soak_min=np.array([30.0, 0.0, 0.0])[:zones],
            application=Application(
                rate_mm_h=rate,
                ground_share=np.array([0.95, 0.95, 1.0])[:zones],
                usable_share=np.array([0.8, 0.8, 0.9])[:zones],
                intake_mm_h=np.full(zones, 8.0),
                accumulation_mm=np.full(zones, 4.0),
            ),
        ),
        group_of_program=np.arange(max(programs[:zones]) + 1),
        percents=np.arange(0, 201) / 100.0,
        allowed=np.ones((201, max(programs[:zones]) + 1), dtype=bool),
    )


def weather(seed=3, *, days=120, wet=0.25):
    rng = np.random.default_rng(seed)
    count = days + HORIZON
    return Weather(
        et_mm=rng.uniform(3, 8, (count, 1)),
        rain_mm=np.where(rng.random((count, 1)) < wet, rng.gamma(1.0, 9.0, (count, 1)), 0.0),
        month=np.full(count, 7),
        normal_mm=np.full((count, 1), 5.5),
        level=np.ones((days, 1)),
    )


def lived(what=None, sky=None, *, days=120, rules=NIGHTLY, seed=1, every=2):
    what, sky = what or landscape(), sky or weather(days=days)
    starts = np.zeros((days + HORIZON, what.programs), dtype=np.intp)
    starts[1::every] = 1
    return live_through(
        what,
        starts=starts,
        weather=sky,
        days=days,
        start_depletion_mm=0.5 * what.ground.raw_mm,
        first_percent=np.full(what.groups, 100),
        rules=rules,
        forecasts=made_wrong(sky.et_mm, sky.rain_mm, Errors(), seed=seed, mornings=days),
    )
