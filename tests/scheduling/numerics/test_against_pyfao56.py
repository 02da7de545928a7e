"""The season's balance beside pyfao56 (K. Thorp and others, USDA-ARS), an independent FAO-56 model.

Comparable once its extras are off: basal coefficient fixed at Kl, no root growth, constant depletion
fraction, no runoff, and no soil evaporation (REW set so high below zero that Kr, and with it Ke, is
nought). What stays different is the order in a day: pyfao56 takes Ks and ET before the day's water, we take
the water first. So its water of one day is ours of the next morning, and its depletion at the end of a day
is ours after the next morning's water.
"""

import warnings
from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest

from scheduling.numerics.season_balance import season_balance
from scheduling.numerics.watering import Watering

DAYS, KL = 150, 0.8
FIELD_CAPACITY, WILTING_POINT, ROOT_M, SHARE = 0.30, 0.13, 0.30, 0.5  # TAW 51 mm, RAW 25.5 mm


def invented_weather():
    rng = np.random.default_rng(11)
    et = rng.uniform(2, 8, DAYS)
    rain = np.where(rng.random(DAYS) < 0.08, rng.gamma(1.0, 15.0, DAYS), 0.0)
    irrigation = np.where(np.arange(DAYS) % 4 == 0, rng.choice([0.0, 9.0, 20.0, 30.0], DAYS), 0.0)
    return et, rain, irrigation


def by_pyfao56(et, rain, irrigation):
    import pyfao56

    keys = [(date(2021, 4, 1) + timedelta(days=d)).strftime("%Y-%j") for d in range(DAYS)]
    soil = pyfao56.Parameters(
        Kcbini=KL, Kcbmid=KL + 1e-9, Kcbend=KL, Lini=1000, thetaFC=FIELD_CAPACITY, thetaWP=WILTING_POINT,
        theta0=FIELD_CAPACITY - 0.04, Zrini=ROOT_M, Zrmax=ROOT_M, pbase=SHARE, REW=-1e12,
    )  # fmt: skip
    weather = pyfao56.Weather()
    weather.wdata = pd.DataFrame(
        {"ETref": et, "Rain": rain, "Wndsp": 2.0, "RHmin": 45.0, "Tmax": 30.0, "Tmin": 15.0, "Tdew": 10.0},
        index=keys,
    )
    weather.wndht = 2.0
    watering = pyfao56.Irrigation()
    for key, depth in zip(keys, irrigation, strict=True):
        if depth > 0:
            watering.addevent(int(key[:4]), int(key[5:]), depth, 1.0)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # its own use of pandas, not ours
        model = pyfao56.Model(keys[0], keys[-1], soil, weather, irr=watering, cons_p=True)
        model.run()
    return model.odata


def by_us(et, rain, irrigation):
    """Return the season, each day's water one day later, and the depletion as theirs ends a day."""
    next_morning = np.concatenate([[0.0], rain]), np.concatenate([[0.0], irrigation])
    taw = 1000 * (FIELD_CAPACITY - WILTING_POINT) * ROOT_M
    season = season_balance(
        et_mm=np.append(et, 0.0)[:, np.newaxis],
        rain_mm=next_morning[0][:, np.newaxis],
        cell_of_zone=np.array([0]),
        kl=np.full((12, 1), KL),
        month_of_day=np.full(DAYS + 1, 7),
        taw_mm=np.array([taw]),
        raw_mm=np.array([SHARE * taw]),
        start_depletion_mm=1000 * 0.04 * ROOT_M,
        watering=Watering(
            zone_of_run=np.array([0]),
            program_of_run=np.array([0]),
            net_mm=np.unique(irrigation)[:, np.newaxis],
            percent_index=np.searchsorted(np.unique(irrigation), next_morning[1])[:, np.newaxis],
            starts=np.ones((DAYS + 1, 1), dtype=int),
        ),
        rain_share=1.0,
        keep=True,
    )
    return season, np.maximum(season.daily_depletion_mm[:-1, 0] - rain - irrigation, 0.0)


def test_a_season_of_rain_and_irrigation_is_that_of_the_independent_model():
    weather = invented_weather()
    theirs = by_pyfao56(*weather)
    season, depletion = by_us(*weather)
    assert theirs["Ks"].min() < 0.9  # the season has stress in it
    assert theirs["DP"].sum() > 50  # and drainage
    assert theirs["E"].abs().max() < 1e-6  # and no soil evaporation
    assert depletion == pytest.approx(theirs["Dr"].to_numpy(dtype=float), abs=1e-6)
    assert season.et_mm[0] == pytest.approx(theirs["ETa"].sum(), abs=1e-5)
    drained = season.drained_irrigation_mm[0] + season.drained_rain_mm[0]
    assert drained == pytest.approx(theirs["DP"].sum(), abs=1e-5)
