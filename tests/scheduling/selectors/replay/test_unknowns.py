"""What was taken wrong: what it does to plants, and that looking at the soil and trims win it back."""

from dataclasses import fields, replace

import numpy as np
import pytest

from scheduling.numerics.replay.days import Truth, live_through
from scheduling.numerics.replay.foresight import Errors, made_wrong
from scheduling.numerics.replay.rules import NIGHTLY
from scheduling.selectors.replay.unknowns import taken_wrong
from tests.scheduling.numerics.replay.cases import HORIZON, landscape, lived, weather
from tests.scheduling.selectors.replay.test_six_zones import season

DAYS = 120


def with_truth(real, *, start=None, looked=(), trim=1.0):
    believed, sky = landscape(), weather()
    starts = np.zeros((DAYS + HORIZON, believed.programs), dtype=np.intp)
    starts[1::2] = 1
    half = 0.5 * believed.ground.raw_mm
    return live_through(
        believed,
        starts=starts,
        weather=sky,
        days=DAYS,
        start_depletion_mm=half,
        first_percent=np.full(believed.groups, 100),
        rules=NIGHTLY,
        forecasts=made_wrong(sky.et_mm, sky.rain_mm, Errors(), seed=1, mornings=DAYS),
        truth=Truth(
            real,
            half if start is None else start,
            np.repeat(np.isin(np.arange(DAYS), looked)[:, np.newaxis], believed.zones, axis=1),
            np.full((DAYS, believed.zones), trim),
        ),
    )


def test_where_all_is_as_believed_it_is_the_same_season():
    one, two = lived(), with_truth(landscape(), looked=[30, 60])
    for field in fields(one):
        assert np.allclose(getattr(one, field.name), getattr(two, field.name)), field.name


def test_decisions_cannot_see_what_is_not_believed():
    """Soil that holds half: the same percents, and drier plants."""
    real = landscape()
    half = replace(
        real, ground=replace(real.ground, taw_mm=0.5 * real.ground.taw_mm, raw_mm=0.5 * real.ground.raw_mm)
    )
    one, two = lived(), with_truth(half)
    assert np.array_equal(one.percent, two.percent)
    assert np.array_equal(one.gross_mm, two.gross_mm)
    assert two.lost_share.sum() > one.lost_share.sum()


def test_the_true_ground_keeps_its_own_water():
    found = with_truth(landscape(), start=landscape().ground.taw_mm * 0.9)
    before = np.vstack([landscape().ground.taw_mm * 0.9, found.depletion_mm[:-1]])
    after = before - found.net_mm + found.drained_irrigation_mm - found.rain_mm + found.drained_rain_mm
    assert np.abs(after + found.et_mm - found.depletion_mm).max() < 1e-9


def test_a_look_at_the_soil_on_the_first_morning_mends_a_wrong_start():
    """What is seen that morning is what is believed from then on: as if it had been known."""
    dry = landscape().ground.raw_mm
    looked = with_truth(landscape(), start=dry, looked=[0])
    left = with_truth(landscape(), start=dry)
    assert looked.lost_share.sum() < 0.6 * left.lost_share.sum()
    assert looked.percent[0, 0] > left.percent[0, 0]


def test_a_trim_makes_decisions_ask_for_more():
    assert with_truth(landscape(), trim=1.25).gross_mm.sum() > 1.15 * with_truth(landscape()).gross_mm.sum()


@pytest.mark.parametrize("dry", [True, False], ids=["dry", "humid"])
def test_errors_cost_plants_and_looking_or_a_trim_win_most_of_it_back(dry):
    found = season(dry=dry)
    told = {
        one.name: one
        for one in taken_wrong(found.season, rules=NIGHTLY, forecasts=found.forecasts, right=found.decided)
    }
    assert list(told) == ["efficiency", "soil", "start"]
    for one in told.values():
        assert one.worst_adequacy < found.decided.worst
        assert one.looked_adequacy > one.worst_adequacy
    trimmed = told["efficiency"].trimmed_adequacy
    assert trimmed > 0.97
    assert trimmed - told["efficiency"].worst_adequacy > 0.7 * (
        found.decided.worst - told["efficiency"].worst_adequacy
    )
