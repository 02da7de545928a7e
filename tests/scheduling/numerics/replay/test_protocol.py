"""The test protocol's score, by hand: zone 1 over five days, in inches turned into mm."""

from typing import Any

import numpy as np
import pytest

from scheduling.numerics.replay.protocol import READINGS, Ground, Reading, counts, scored, watered

IN = 25.4
ZONE_1 = Ground(
    storage_mm=np.array([0.85 * IN]),
    rate_mm_h=np.array([1.60 * IN]),
    intake_mm_h=np.array([0.35 * IN]),
    accumulation_mm=np.array([0.25 * IN]),
    efficiency=np.array([0.55]),
)
ET = np.full((5, 1), 0.20 * IN)
RAIN = np.array([0, 0, 0.30, 0, 0]) * IN
EVENTS: list[list[list[tuple[float, float]]]] = [
    [[]],
    [[(12.0, 43.0), (12.0, 0.0)]],
    [[]],
    [[]],
    [[(20.0, 0.0)]],
]
NOTHING: list[list[list[tuple[float, float]]]] = [[[]]] * 5
TEXT = Reading(by_need=False, rain_first=True, whole_rate=False, start_share=0.5)


def five_days(reading, events=EVENTS):
    return scored(reading, ZONE_1, et_mm=ET, rain_mm=RAIN, water=watered(events, ZONE_1), days=5)


def test_five_days_of_zone_1_by_hand():
    """Start 0.425 in. Day 1: 0.225. Day 2: + 0.64 x 0.55 = 0.352 less 0.20: 0.377.

    Day 3: + 0.24 - 0.20: 0.417. Day 4: 0.217. Day 5: 20 minutes where 12 fit, (1.60 - 0.35) x 8 / 60 = 0.1667
    in run off, (0.5333 - 0.1667) x 0.55 = 0.2017 get in: 0.2187. Net is 0.5537, runoff 0.0917 on the net
    basis: 14.2 % of both, 9.2 % of ET.
    """
    book = watered(EVENTS, ZONE_1)
    assert book.direct_mm.sum() / IN == pytest.approx(0.16667, abs=5e-6)
    assert book.soak_mm.sum() == 0
    found = five_days(TEXT)
    assert found.adequacy[0, 0] == 1.0
    assert found.excess[0, 0] == pytest.approx(0.0917 / (0.5537 + 0.0917), abs=5e-5)
    assert found.end_mm[0, 0] / IN == pytest.approx(0.21867, abs=5e-6)
    by_need = five_days(Reading(by_need=True, rain_first=True, whole_rate=False, start_share=0.5))
    assert by_need.excess[0, 0] == pytest.approx(0.0917, abs=5e-5)
    assert not found.passes[0]
    assert not by_need.passes[0]  # the zone is within 10 %, but the mean of the zones is above 5 %


def test_minutes_too_many_run_off_at_the_whole_rate_in_the_other_reading():
    """8 minutes at 1.60 in/h: 0.2133 in run off, 0.1173 on the net basis; net 0.352 + 0.32 x 0.55 = 0.528."""
    found = five_days(Reading(by_need=False, rain_first=True, whole_rate=True, start_share=0.5))
    assert found.excess[0, 0] == pytest.approx(0.11733 / (0.528 + 0.11733), abs=1e-5)


def test_a_soak_too_short_is_soak_runoff():
    """20 minutes drain 0.1167 of the 0.25 in pond; the second 12 minutes overflow by 0.1333 in."""
    book = watered([[[(12.0, 20.0), (12.0, 0.0)]]], ZONE_1)
    assert book.direct_mm.sum() == 0
    assert book.soak_mm.sum() / IN == pytest.approx(0.13333, abs=5e-6)


def test_from_full_the_water_of_day_2_drains():
    """0.85 - 0.20 = 0.65; - 0.20 + 0.352 = 0.802: it fits. Rain first or last makes no difference that day.

    Day 3: 0.602 + 0.24 = 0.842; day 4: 0.642; day 5: 0.442 + 0.2017 = 0.6437.
    """
    found = five_days(Reading(by_need=False, rain_first=True, whole_rate=False, start_share=1.0))
    assert found.end_mm[0, 0] / IN == pytest.approx(0.64367, abs=5e-6)


def test_rain_first_drains_the_irrigation_and_rain_last_is_lost_itself():
    """Start full, ET 0.20, 0.30 in of rain (0.24 net) and 24 minutes (0.352 net) on one day.

    Rain first: 0.65 + 0.20 fill it, all 0.352 drain. Rain last: 0.65 + 0.352 drains 0.152, no room for rain.
    """
    one: dict[str, Any] = {
        "et_mm": ET[:1],
        "rain_mm": np.array([0.30 * IN]),
        "water": watered(EVENTS[1:2], ZONE_1),
        "days": 1,
    }
    first = scored(Reading(True, True, False, 1.0), ZONE_1, **one)
    last = scored(Reading(True, False, False, 1.0), ZONE_1, **one)
    assert first.excess[0, 0] * 0.20 == pytest.approx(0.352)
    assert last.excess[0, 0] * 0.20 == pytest.approx(0.152)


def test_plants_that_go_without_are_counted():
    """Start 0.425, ET 0.20 a day, no water: days 1 and 2 are met, of day 3 0.025; 0.575 of 1.0 is short."""
    found = scored(TEXT, ZONE_1, et_mm=ET, rain_mm=np.zeros(5), water=watered(NOTHING, ZONE_1), days=5)
    assert found.adequacy[0, 0] == pytest.approx(0.425)
    assert found.excess[0, 0] == 0.0


def test_every_window_starts_anew_or_where_the_season_stood():
    anew = scored(TEXT, ZONE_1, et_mm=ET, rain_mm=RAIN, water=watered(EVENTS, ZONE_1), days=2)
    stood = scored(
        Reading(False, True, False, None),
        ZONE_1,
        et_mm=ET,
        rain_mm=RAIN,
        water=watered(EVENTS, ZONE_1),
        days=2,
    )
    assert anew.adequacy.shape == (4, 1)
    assert anew.end_mm[:, 0] / IN == pytest.approx([0.377, 0.617, 0.265, 0.22667], abs=5e-5)
    assert stood.end_mm[:, 0] / IN == pytest.approx([0.377, 0.417, 0.217, 0.21867], abs=5e-5)


def test_windows_without_rain_or_need_do_not_count():
    """At least 0.40 in of rain and 2.50 in of reference ET in thirty days."""
    et = np.full(40, 2.2)
    rain = np.zeros(40)
    rain[35] = 11.0
    assert counts(reference_et_mm=et, rain_mm=rain).tolist() == [False] * 6 + [True] * 5
    assert not counts(reference_et_mm=0.9 * et, rain_mm=rain + 1.0).any()


def test_every_reading_of_the_text_is_scored():
    assert len(READINGS) == len(set(READINGS)) == 24
