"""The protocol's score of a season: told for every reading and start, the same whoever computes it."""

import numpy as np

from scheduling.numerics.replay.protocol import Reading, scored, watered
from scheduling.selectors.replay.as_json import zone_cycles
from scheduling.selectors.replay.protocol_score import STARTS, ground_of, protocol_score
from tests.scheduling.selectors.replay.test_six_zones import season


def balance_by_hand(told, cycles, zone, *, rate, efficiency, storage):
    """One window from half full, rain first, cycles that don't run off: what the plants went without."""
    balance, short, need = 0.5 * storage, 0.0, 0.0
    for day, row in enumerate(told):
        need += row[0]
        balance += -row[0]
        balance += min(0.8 * row[1], max(storage - balance, 0.0))
        balance += efficiency * rate * sum(minutes for minutes, _ in cycles[day][zone]) / 60
        balance = min(balance, storage)
        short += max(-balance, 0.0)
        balance = max(balance, 0.0)
    return 1.0 - short / need


def test_a_humid_season_is_told_in_every_reading():
    found = season(dry=False, programs=6)
    told = protocol_score(found.season, found.decided)
    assert (told["windows"], told["valid"]) == (191, 191)
    assert len(told["readings"]) == 24
    assert set(told["passing"]) == set(STARTS.values())
    assert "not a certification" in told["note"]
    assert told["passing"]["from where the season stood"] > 0.5


def test_one_window_of_zone_6_by_hand():
    found = season(dry=False, programs=6)
    lived, ground = found.decided.lived, found.season.landscape.ground
    rows = list(zip(lived.full_et_mm[:30, 5], found.season.weather.rain_mm[:30, 0], strict=True))
    runs = found.season.landscape.runs
    run = [int(zone) for zone in runs.zone].index(5)
    by_hand = balance_by_hand(
        rows,
        zone_cycles(found.season, lived),
        5,
        rate=float(runs.application.rate_mm_h[run]),
        efficiency=0.65,
        storage=float(ground.raw_mm[5]),
    )
    whole = ground_of(found.season)
    water = watered(zone_cycles(found.season, lived), whole)
    windows = scored(
        Reading(False, True, False, 0.5),
        whole,
        et_mm=lived.full_et_mm,
        rain_mm=found.season.weather.rain_mm[:220, 0],
        water=water,
    )
    assert np.isclose(windows.adequacy[0, 5], by_hand)


def test_a_dry_season_has_no_window_that_counts():
    found = season(dry=True)
    told = protocol_score(found.season, found.decided)
    assert told["valid"] == 0
    assert told["passing"]["from half full"] is None
