"""Days lived through: water is neither made nor lost, and no morning knows more than it could."""

from dataclasses import fields, replace

import numpy as np
import pytest

from scheduling.numerics.percent_search import search
from scheduling.numerics.replay.rules import NIGHTLY, delivered
from scheduling.numerics.skip_check import check_skip
from tests.scheduling.numerics.replay.cases import HORIZON, landscape, lived, weather


@pytest.mark.parametrize("programs", [(0, 0, 1), (0, 1, 2), (0, 0, 0)])
def test_every_day_closes(programs):
    what = landscape(programs=programs)
    found = lived(what)
    before = np.vstack([0.5 * what.ground.raw_mm, found.depletion_mm[:-1]])
    after = before - found.net_mm + found.drained_irrigation_mm - found.rain_mm + found.drained_rain_mm
    assert np.abs(after + found.et_mm - found.depletion_mm).max() < 1e-9
    assert (found.depletion_mm >= 0).all()
    assert (found.depletion_mm <= what.ground.taw_mm).all()
    assert found.lost_share.min() >= 0
    assert found.lost_share.max() <= 1


def test_nothing_lands_on_nights_without_water_or_left_out():
    found = lived()
    assert (found.gross_mm[0::2] == 0).all()
    skipped = np.flatnonzero(found.skip[:-1, 0])
    assert skipped.size >= 2
    assert (found.gross_mm[skipped + 1][:, :2] == 0).all()


def test_what_comes_later_than_a_forecast_sees_changes_no_earlier_morning():
    sky = weather()
    after = 60
    other = replace(sky, et_mm=sky.et_mm.copy(), rain_mm=sky.rain_mm.copy())
    other.et_mm[after:] *= 1.5
    other.rain_mm[after:] = 3.0
    one, two = lived(sky=sky), lived(sky=other)
    known = after - 6
    for name in ("percent", "skip", "deciding", "depletion_mm", "gross_mm"):
        a, b = getattr(one, name), getattr(two, name)
        assert np.array_equal(a[:known], b[:known]), name
    assert not np.array_equal(one.percent, two.percent)


def test_zones_of_other_programs_change_nothing():
    """Each program decides by its own zones: alone or beside others, a lawn gets the same."""
    alone, beside = lived(landscape(zones=1)), lived(landscape(programs=(0, 1, 2)))
    for field in fields(alone):
        one, two = getattr(alone, field.name), getattr(beside, field.name)
        if field.name != "deciding":
            assert np.array_equal(one[:, 0], two[:, 0]), field.name


def test_each_morning_is_the_search_and_the_skip_check_of_the_nightly_run():
    """One morning recomputed from its own book with the functions the nightly run calls."""
    what, sky, day = landscape(zones=1), weather(), 41
    found = lived(what, sky)
    from scheduling.numerics.replay.foresight import Errors, made_wrong

    said = made_wrong(sky.et_mm, sky.rain_mm, Errors(), seed=1, mornings=120)
    et = np.vstack([said.et_mm[day], sky.normal_mm[day + 7 : day + 8]]) * 0.8
    rain = np.vstack([0.8 * said.credit[day] * said.rain_mm[day], [[0.0]]])
    starts = np.zeros((8, 1), dtype=int)
    starts[[d for d in range(1, 8) if (day + d) % 2 == 1]] = 1
    row = found.percent[day - 1, 0]
    kept = what.depths.net_mm[row]
    start = found.depletion_mm[day - 1]
    fixed = np.zeros((8, 1))
    fixed[0] = found.net_mm[day]
    check = check_skip(
        net_mm=starts * kept,
        fixed_mm=fixed,
        group_of_unit=np.zeros(1, dtype=int),
        groups=1,
        start_depletion_mm=start,
        et_mm=et,
        rain_mm=rain,
        taw_mm=what.ground.taw_mm,
        raw_mm=what.ground.raw_mm,
    )
    counted = 0.8 * sky.rain_mm[day - 1, 0] + rain[0, 0] + check.rain_mm[0]
    assert found.skip[day, 0] == (check.safe[0] and check.watered[0] and counted >= 2.0)
    if found.skip[day, 0]:
        starts[1] = 0
    choice = search(
        percents=what.percents,
        net_mm=what.depths.net_mm,
        kept_net_mm=kept,
        starts=starts,
        unit_of_run=np.zeros(1, dtype=int),
        group_of_unit=np.zeros(1, dtype=int),
        first_day=np.array([1]),
        last_day=np.array([7]),
        fixed_mm=fixed,
        start_depletion_mm=start,
        et_mm=et,
        rain_mm=rain,
        taw_mm=what.ground.taw_mm,
        raw_mm=what.ground.raw_mm,
        allowed=what.allowed,
        bearable=0.1,
    )
    assert found.percent[day, 0] == choice.index[0]


def test_word_that_comes_weekly_moves_percents_weekly_and_leaves_no_night_out():
    found = lived(rules=delivered("weekly"))
    decided = np.flatnonzero(found.percent[:, 0] >= 0)
    assert np.array_equal(decided, np.arange(0, 120, 7))
    assert not found.skip.any()
    held = found.row_of_program[:, 0]
    landed = held >= 0
    of_week = (np.arange(120) - 1) // 7
    for week in range(17):
        assert np.unique(held[landed & (of_week == week)]).size <= 1


@pytest.mark.parametrize("word", ["daily", "visit", "visit:0", "visit:121", "visit:x", "visit:-3"])
def test_other_words_are_refused(word):
    with pytest.raises(ValueError, match="delivery"):
        delivered(word)


def test_rules_that_judge_less_than_they_hold_are_refused():
    with pytest.raises(ValueError, match="judged"):
        replace(NIGHTLY, every=10)


def test_the_weather_has_to_reach_as_far_as_mornings_look():
    assert HORIZON >= 8
    with pytest.raises(ValueError, match="days"):
        lived(sky=replace(weather(), et_mm=np.ones((100, 1)), rain_mm=np.zeros((100, 1))))
