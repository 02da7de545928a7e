"""Forecasts made wrong: as often and as far as stated, the same for a seed, credited by what came before."""

import numpy as np
import pytest

from scheduling.numerics.replay.foresight import FALSE_ALARM_MM, NONE, Errors, earned_by, made_wrong

DAYS = 3_000


@pytest.fixture(scope="module")
def came():
    rng = np.random.default_rng(5)
    rain = np.where(rng.random((DAYS + 6, 1)) < 0.3, rng.gamma(1.0, 8.0, (DAYS + 6, 1)), 0.0)
    return rng.uniform(2, 8, (DAYS + 6, 1)), rain


def foretold(came, errors=None, *, seed=1):
    et, rain = came
    return made_wrong(et, rain, errors or Errors(), seed=seed, mornings=DAYS)


def test_errors_are_as_frequent_and_as_large_as_stated(came):
    et, rain = came
    target = np.arange(DAYS)[:, np.newaxis] + np.arange(7)
    said, fell = foretold(came).rain_mm, rain[target]
    assert (said > 0)[fell > 0].mean() == pytest.approx(0.75, abs=0.01)
    assert (said > 0)[fell == 0].mean() == pytest.approx(0.05, abs=0.005)
    hit = (said > 0) & (fell > 0)
    hits = np.log(said[hit] / fell[hit])
    assert (hits.mean(), hits.std()) == (pytest.approx(0, abs=0.02), pytest.approx(0.5, abs=0.02))
    alarms = np.log(said[(said > 0) & (fell == 0)] / FALSE_ALARM_MM)
    assert alarms.mean() == pytest.approx(0, abs=0.1)
    apart = foretold(came).et_mm / et[target] - 1.0
    assert (apart.mean(), apart.std()) == (pytest.approx(0, abs=0.005), pytest.approx(0.12, abs=0.005))


def test_without_errors_the_weather_is_foretold(came):
    et, rain = came
    said = foretold(came, NONE)
    assert np.array_equal(said.et_mm[10], et[10:17])
    assert np.array_equal(said.rain_mm[10], rain[10:17])


def test_lasting_errors_are_those_of_the_day_foretold(came):
    lasting, anew = foretold(came, Errors(lasting=True)).rain_mm, foretold(came).rain_mm
    assert np.array_equal(lasting[10, 3], lasting[12, 1])
    assert np.mean(lasting[:-2, 3] == lasting[2:, 1]) == 1.0
    assert np.mean(anew[:-2, 3] == anew[2:, 1]) < 0.9


def test_a_seed_gives_the_same_forecasts(came):
    one, same, other = (foretold(came, seed=seed) for seed in (1, 1, 2))
    assert np.array_equal(one.rain_mm, same.rain_mm)
    assert not np.array_equal(one.rain_mm, other.rain_mm)


def test_credit_is_what_came_of_what_was_foretold_before_that_morning():
    """10 mm foretold for every day one to three days ahead, 6 come: 0.6 once five days are known.

    The morning of day 8 knows days 1 to 7; day 0 was foretold by nobody.
    """
    said = np.full((20, 7, 1), 10.0)
    credit = earned_by(said, came_mm=np.full((26, 1), 6.0))[:, 0]
    assert credit[:6] == pytest.approx([0.7] * 6)
    assert credit[6:] == pytest.approx([0.6] * 14)
    later = said.copy()
    later[12:] = 100.0
    assert earned_by(later, came_mm=np.full((26, 1), 6.0))[:13, 0] == pytest.approx(credit[:13])


def test_how_wrong_a_forecast_is_reads_without_formulas():
    words = Errors(amount_spread=0.5).words
    # e^-0.5 = 0.6065 and e^0.5 = 1.6487: within one spread lie 68 of 100 of a log-normal
    assert "its amount two times in three between 0.61 and 1.6 times what fell" in words
    assert "e^" not in words
    assert "its amount right" in Errors(amount_spread=0.0).words
