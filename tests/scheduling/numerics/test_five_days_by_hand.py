"""Five days of one zone from the minutes to the soil, worked by hand on the protocol's first zone."""

import pytest

from scheduling.numerics.gross_to_net import Application, net_depth
from scheduling.numerics.soil_water import one_day

IN = 25.4  # mm per inch, exact
RAW, TAW = 0.85 * IN, 1.70 * IN  # 0.17 x 10 in, half of it to be used
ZONE_1 = Application(
    rate_mm_h=1.60 * IN,
    ground_share=1.0,
    usable_share=0.55,
    intake_mm_h=0.35 * IN,
    accumulation_mm=0.25 * IN,
)


def test_five_days_end_where_the_sum_on_paper_does():
    """SWAT climatologically based controllers, 8th testing protocol (2008), zone 1 (from memory); own days.

    In inches: 0.425 of 0.85 to begin with, 0.20 used a day. Day 2: two cycles of 12 min, 43 apart: 0.64 x
    0.55 = 0.352; day 3: rain 0.30, of which 0.8 count: 0.24; day 5: 20 min in one go, of which (1.60 - 0.35)
    x 8 / 60 = 0.1667 run off: (0.5333 - 0.1667) x 0.55 = 0.2017. In the end 0.425 - 5 x 0.20 + 0.352 + 0.24 +
    0.2017 = 0.2187.
    """
    split = net_depth(24.0, ZONE_1, cycle_min=12.0, soak_min=43.0)
    whole = net_depth(20.0, ZONE_1)
    days = [(0.0, 0.0), (float(split.net_mm), 0.0), (0.0, 0.30), (0.0, 0.0), (float(whole.net_mm), 0.0)]
    depletion, used = RAW - 0.425 * IN, 0.0
    for net_mm, rain_in in days:
        day = one_day(
            depletion,
            irrigation_mm=net_mm,
            rain_mm=0.8 * rain_in * IN,
            et_mm=0.20 * IN,
            taw_mm=TAW,
            raw_mm=RAW,
        )
        assert day.drained_irrigation_mm == day.drained_rain_mm == 0.0
        depletion, used = float(day.depletion_mm), used + float(day.et_mm)
    assert (RAW - depletion) / IN == pytest.approx(0.21867, abs=5e-6)
    assert used / IN == pytest.approx(1.0, abs=1e-12)  # nothing went short: the need is met in full
    assert (split.runoff_mm + whole.runoff_mm) / IN == pytest.approx(0.16667, abs=5e-6)
