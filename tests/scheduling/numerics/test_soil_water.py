"""Soil water against FAO-56's worked examples, and a day's books closing."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.numerics.soil_water import (
    draw_et,
    one_day,
    readily_available_water,
    stress_coefficient,
    stress_slope,
    total_available_water,
)

# FAO Irrigation and Drainage Paper 56 (1998), example 36, page 166, equations 82 and 83.
SOILS = {"loamy sand": (0.15, 0.06), "silt": (0.32, 0.15), "silty clay": (0.35, 0.23)}
CROPS = {"onion": (0.4, 0.3), "tomato": (0.8, 0.4), "maize": (1.2, 0.55)}
EXAMPLE_36 = [
    ("onion", "loamy sand", 36, 11),
    ("onion", "silt", 68, 20),
    ("onion", "silty clay", 48, 14),
    ("tomato", "loamy sand", 72, 29),
    ("tomato", "silt", 136, 54),
    ("tomato", "silty clay", 96, 38),
    ("maize", "loamy sand", 108, 59),
    ("maize", "silt", 204, 112),
    ("maize", "silty clay", 144, 79),
]


@pytest.mark.parametrize(("crop", "soil", "taw", "raw"), EXAMPLE_36)
def test_available_water_of_three_crops_on_three_soils(crop, soil, taw, raw):
    (field_capacity, wilting_point), (root_m, share) = SOILS[soil], CROPS[crop]
    total = total_available_water(field_capacity - wilting_point, 1000 * root_m)
    assert total == pytest.approx(taw, abs=0.5)
    assert readily_available_water(total, share) == pytest.approx(raw, abs=0.5)


@pytest.mark.parametrize(
    ("zone", "capacity", "depth_in", "share", "printed_in"),
    [
        (1, 0.17, 10.0, 0.50, 0.85),
        (2, 0.17, 8.1, 0.40, 0.55),
        (3, 0.09, 20.0, 0.50, 0.90),
        (4, 0.13, 28.0, 0.55, 2.00),
        (5, 0.18, 25.0, 0.50, 2.25),
        (6, 0.17, 9.2, 0.35, 0.55),
    ],
)
def test_root_zone_working_storage_of_the_six_zone_landscape(zone, capacity, depth_in, share, printed_in):
    # SWAT climatologically based controllers, 8th testing protocol (2008), Table 1 (from memory).
    raw = readily_available_water(total_available_water(capacity, 25.4 * depth_in), share)
    assert raw / 25.4 == pytest.approx(printed_in, abs=0.006)


# FAO-56 example 37, page 168, equations 81 to 86: tomato, silt, ten dry days; TAW 160, RAW 64, ETc 6 mm/d.
EXAMPLE_37 = [  # day, depletion at its start, Ks, adjusted ETc, depletion at its end
    (1, 55.0, 1.00, 6.0, 61.0),
    (2, 61.0, 1.00, 6.0, 67.0),
    (3, 67.0, 0.97, 5.8, 72.8),
    (4, 72.8, 0.91, 5.4, 78.3),
    (5, 78.3, 0.85, 5.1, 83.4),
    (6, 83.4, 0.80, 4.8, 88.2),
    (7, 88.2, 0.75, 4.5, 92.6),
    (8, 92.6, 0.70, 4.2, 96.9),
    (9, 96.9, 0.66, 3.9, 100.8),
    (10, 100.8, 0.62, 3.7, 104.5),
]


def test_stress_and_depletion_over_ten_dry_days():
    taw = total_available_water(0.32 - 0.12, 800)
    raw = readily_available_water(taw, 0.4)
    assert taw == pytest.approx(160)
    assert raw == pytest.approx(64)
    depletion = np.asarray(55.0)
    for day, start, ks, et, end in EXAMPLE_37:
        assert depletion == pytest.approx(start, abs=0.06), day
        assert stress_coefficient(depletion, taw_mm=taw, raw_mm=raw) == pytest.approx(ks, abs=0.0065)
        result = one_day(depletion, irrigation_mm=0.0, rain_mm=0.0, et_mm=5.0 * 1.2, taw_mm=taw, raw_mm=raw)
        assert result.et_mm == pytest.approx(et, abs=0.06)
        assert result.depletion_mm == pytest.approx(end, abs=0.06)
        depletion = result.depletion_mm


def test_stress_is_none_up_to_raw_and_full_at_the_wilting_point():
    # FAO-56 eq. 84 at its ends and half way.
    ks = stress_coefficient([0.0, 20.0, 30.0, 40.0, np.nan], taw_mm=40.0, raw_mm=20.0)
    assert ks[:4].tolist() == [1.0, 1.0, 0.5, 0.0]
    assert np.isnan(ks[4])


def test_where_raw_is_all_of_taw_et_stops_only_at_the_wilting_point():
    assert stress_coefficient([39.9, 40.0], taw_mm=40.0, raw_mm=40.0).tolist() == [1.0, 0.0]


def test_what_does_not_fit_is_booked_to_what_brought_it():
    # By hand: 5 mm missing, 8 mm of irrigation: 3 drain; then 4 mm of rain on a full soil: all drains; ET 6.
    day = one_day(5.0, irrigation_mm=8.0, rain_mm=4.0, et_mm=6.0, taw_mm=40.0, raw_mm=20.0)
    assert day.drained_irrigation_mm == 3.0
    assert day.drained_rain_mm == 4.0
    assert day.depletion_mm == 6.0


def test_water_of_the_day_counts_before_its_et():
    # By hand: from 30 of 40 mm, 10 mm of irrigation lift the day out of stress: ET is whole.
    day = one_day(30.0, irrigation_mm=10.0, rain_mm=0.0, et_mm=5.0, taw_mm=40.0, raw_mm=20.0)
    assert day.et_mm == 5.0
    assert day.depletion_mm == 25.0


def test_a_day_never_takes_more_than_is_left():
    # TAW - RAW is 4 mm, the day's ET 30: the 10 mm left are all that goes.
    day = one_day(10.0, irrigation_mm=0.0, rain_mm=0.0, et_mm=30.0, taw_mm=20.0, raw_mm=16.0)
    assert day.et_mm == 10.0
    assert day.depletion_mm == 20.0


def test_a_wetted_share_shrinks_the_store():
    assert total_available_water(0.17, 300.0, wetted_share=0.4) == pytest.approx(20.4)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: total_available_water(17.0, 300.0), "capacity is 17, accepted range 0 to 1"),
        (lambda: total_available_water(0.17, -1.0), "root_depth_mm is -1"),
        (lambda: readily_available_water(40.0, 50), "allowed_depletion is 50, accepted range 0 to 1"),
    ],
)
def test_a_value_out_of_range_is_refused_by_name(call, message):
    with pytest.raises(ValueError, match=message):
        call()


ZONES = st.lists(
    st.tuples(
        st.floats(5, 150),
        st.floats(0.05, 1),
        st.floats(0, 1),
        st.floats(0, 60),
        st.floats(0, 80),
        st.floats(0, 40),
    ),
    min_size=1,
    max_size=8,
)


@settings(max_examples=300, deadline=None)
@given(ZONES)
def test_a_days_books_close_and_depletion_stays_between_full_and_wilting(zones):
    taw, share, start_share, irrigation, rain, et = np.array(zones).T
    start = start_share * taw
    day = one_day(start, irrigation_mm=irrigation, rain_mm=rain, et_mm=et, taw_mm=taw, raw_mm=share * taw)
    kept = irrigation - day.drained_irrigation_mm + rain - day.drained_rain_mm
    assert day.depletion_mm == pytest.approx(start - kept + day.et_mm, abs=1e-9)
    assert ((day.depletion_mm >= 0) & (day.depletion_mm <= taw)).all()
    assert ((day.et_mm >= 0) & (day.et_mm <= et)).all()


@settings(max_examples=300, deadline=None)
@given(ZONES)
def test_the_step_of_the_inner_loops_takes_the_same_et(zones):
    taw, share, left_share, _, _, et = np.array(zones).T
    raw, water = share * taw, left_share * taw
    day = one_day(taw - water, irrigation_mm=0.0, rain_mm=0.0, et_mm=et, taw_mm=taw, raw_mm=raw)
    before = water.copy()
    taken = draw_et(water, et, slope=stress_slope(taw, raw), scratch=np.empty_like(water))
    assert taken == pytest.approx(day.et_mm, abs=1e-9)
    assert water == pytest.approx(before - taken, abs=1e-12)
    assert (water >= 0).all()
