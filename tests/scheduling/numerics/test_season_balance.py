"""The season's balance: a hand-computed example, the books closing, marks, programs, blocks."""

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.numerics.season_balance import Marks, season_balance
from scheduling.numerics.watering import Watering


def one_zone(net=0.0, starts=(0, 0, 0)):
    """One zone, one run, one program, one percent."""
    days = len(starts)
    return Watering(
        zone_of_run=np.array([0]),
        program_of_run=np.array([0]),
        net_mm=np.array([[net]]),
        percent_index=np.zeros((days, 1), dtype=int),
        starts=np.array(starts)[:, np.newaxis],
    )


def three_days(**changes):
    """Reference ET 6, 50, 12; rain 5 on the first day; Kl 0.5; TAW 40, RAW 20; 10 mm missing at the start."""
    inputs = {
        "et_mm": np.array([[6.0], [50.0], [12.0]]),
        "rain_mm": np.array([[5.0], [0.0], [0.0]]),
        "cell_of_zone": np.array([0], dtype=np.int32),
        "kl": np.full((12, 1), 0.5),
        "month_of_day": np.array([7, 7, 7]),
        "taw_mm": np.array([40.0]),
        "raw_mm": np.array([20.0]),
        "start_depletion_mm": 10.0,
        "watering": one_zone(12.0, (1, 0, 0)),
        "keep": True,
    }
    return season_balance(**(inputs | changes))


def test_three_days_by_hand():
    # Day 1: 12 mm on 10 mm missing, 2 drain; 0.8 x 5 = 4 mm of rain on a full soil drain; ET 3 -> 3.
    # Day 2: ET 25, no stress at 3 -> 28. Day 3: Ks = (40 - 28) / 20 = 0.6, ET 0.6 x 6 = 3.6 -> 31.6.
    season = three_days()
    assert season.daily_depletion_mm[:, 0] == pytest.approx([3.0, 28.0, 31.6])
    assert season.depletion_mm[0] == pytest.approx(31.6)
    assert season.irrigation_mm[0] == 12.0
    assert season.drained_irrigation_mm[0] == pytest.approx(2.0)
    assert season.rain_mm[0] == pytest.approx(4.0)
    assert season.drained_rain_mm[0] == pytest.approx(4.0)
    assert season.effective_rain_mm[0] == pytest.approx(0.0)
    assert season.et_mm[0] == pytest.approx(31.6)
    assert season.full_et_mm[0] == pytest.approx(34.0)
    assert season.stress_days[0] == 1


def test_ten_dry_days_of_the_published_example():
    # FAO-56 example 37, page 168: the depletion printed at the end of each day.
    season = season_balance(
        et_mm=np.full((10, 1), 5.0),
        rain_mm=np.zeros((10, 1)),
        cell_of_zone=np.array([0]),
        kl=np.full((12, 1), 1.2),
        month_of_day=np.full(10, 7),
        taw_mm=np.array([160.0]),
        raw_mm=np.array([64.0]),
        start_depletion_mm=55.0,
        watering=one_zone(0.0, [0] * 10),
        keep=True,
    )
    printed = [61.0, 67.0, 72.8, 78.3, 83.4, 88.2, 92.6, 96.9, 100.8, 104.5]
    assert season.daily_depletion_mm[:, 0] == pytest.approx(printed, abs=0.06)
    assert season.stress_days[0] == 8  # Ks is below 1 from day 3 on


def test_a_day_that_starts_its_et_exactly_at_raw_is_no_day_of_stress():
    # 24 mm less 4 mm of rain are 20, which is RAW: ET 3 is whole. The next two days are past it.
    season = three_days(start_depletion_mm=24.0, watering=one_zone())
    assert season.daily_depletion_mm[0, 0] == pytest.approx(23.0)
    assert season.stress_days[0] == 2


def test_without_keeping_days_only_the_end_is_given():
    season = three_days(keep=False)
    assert season.daily_depletion_mm is None
    assert season.depletion_mm[0] == pytest.approx(31.6)


def test_an_observation_replaces_the_depletion_at_the_end_of_its_day():
    # Day 2 ends at 28 by the books; 8 mm missing are seen. Day 3: no stress, ET 6 -> 14.
    seen = Marks(day=np.array([1]), zone=np.array([0]), value=np.array([8.0]))
    season = three_days(observations=seen)
    assert season.daily_depletion_mm[:, 0] == pytest.approx([3.0, 8.0, 14.0])
    assert season.observed_mm[0] == pytest.approx(-20.0)


def test_an_observation_drier_than_the_wilting_point_counts_as_the_wilting_point():
    seen = Marks(day=np.array([2]), zone=np.array([0]), value=np.array([99.0]))
    assert three_days(observations=seen).depletion_mm[0] == pytest.approx(40.0)


def test_a_trim_acts_from_its_day_until_the_next():
    # ET 3, 25 x 0.4 = 10, 6 x 1.5 = 9: 3, 13, 22.
    trims = Marks(day=np.array([1, 2]), zone=np.array([0, 0]), value=np.array([0.4, 1.5]))
    assert three_days(trims=trims).daily_depletion_mm[:, 0] == pytest.approx([3.0, 13.0, 22.0])


def test_a_start_drier_than_the_wilting_point_counts_as_the_wilting_point():
    season = three_days(start_depletion_mm=99.0, watering=one_zone())
    assert season.daily_depletion_mm[0, 0] == pytest.approx(40.0 - 4.0 + 4.0 / 20.0 * 3.0)


def test_two_starts_put_on_twice_the_water():
    assert three_days(watering=one_zone(3.0, (2, 0, 1))).irrigation_mm[0] == pytest.approx(9.0)


def test_a_zone_in_two_programs_gets_the_water_of_both_at_their_own_percents():
    # Program 0 at row 0, then 1; program 1 at row 1. Runs: zone 0 in both, zone 1 in program 1 only.
    watering = Watering(
        zone_of_run=np.array([0, 0, 1]),
        program_of_run=np.array([0, 1, 1]),
        net_mm=np.array([[1.0, 10.0, 100.0], [2.0, 20.0, 200.0]]),
        percent_index=np.array([[0, 1], [0, 1], [1, 1]]),
        starts=np.array([[1, 0], [1, 1], [1, 0]]),
    )
    season = three_days(
        watering=watering,
        cell_of_zone=np.array([0, 0]),
        kl=np.full((12, 2), 0.5),
        taw_mm=np.array([40.0, 40.0]),
        raw_mm=np.array([20.0, 20.0]),
    )
    assert season.irrigation_mm.tolist() == [1.0 + 1.0 + 20.0 + 2.0, 200.0]


def test_the_coefficient_changes_with_the_month():
    kl = np.full((12, 1), 0.5)
    kl[7] = 1.0  # August
    season = three_days(kl=kl, month_of_day=np.array([7, 7, 8]))
    assert season.full_et_mm[0] == pytest.approx(3.0 + 25.0 + 12.0)


def test_two_calls_in_a_row_end_where_one_does():
    whole = three_days()
    first = three_days(
        et_mm=np.array([[6.0]]),
        rain_mm=np.array([[5.0]]),
        month_of_day=np.array([7]),
        watering=one_zone(12.0, (1,)),
    )
    rest = three_days(
        et_mm=np.array([[50.0], [12.0]]),
        rain_mm=np.zeros((2, 1)),
        month_of_day=np.array([7, 7]),
        watering=one_zone(12.0, (0, 0)),
        start_depletion_mm=first.depletion_mm,
    )
    assert rest.depletion_mm == pytest.approx(whole.depletion_mm, abs=1e-12)
    assert first.et_mm + rest.et_mm == pytest.approx(whole.et_mm, abs=1e-12)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"month_of_day": np.array([0, 7, 7])}, "month_of_day has shape"),
        ({"cell_of_zone": np.array([1])}, "cell_of_zone holds 1 to 1, accepted 0 to 0"),
        ({"raw_mm": np.array([50.0])}, "raw_mm is 50, accepted range 0 to TAW"),
        ({"rain_share": 1.5}, "rain_share is 1.5, accepted range 0 to 1"),
        ({"rain_mm": np.array([[-1.0], [0.0], [0.0]])}, "rain_mm is -1"),
        ({"watering": one_zone(1.0, (1, -1, 0))}, "starts holds -1"),
        ({"watering": replace(one_zone(), percent_index=np.ones((3, 1), dtype=int))}, "percent_index holds"),
        ({"watering": replace(one_zone(), zone_of_run=np.array([4]))}, "zone_of_run holds 4"),
        ({"watering": one_zone(1.0, (1, 1))}, "starts has shape"),
    ],
)
def test_wrong_inputs_are_refused_by_name(change, message):
    with pytest.raises(ValueError, match=message):
        three_days(**change)


def fleet(seed, zones, *, days=60, cells=5, short=3.0):
    """An invented fleet: some zones in two programs, some in none, changing percents, rain, marks."""
    rng = np.random.default_rng(seed)
    programs = max(zones // 3, 1)
    runs = zones + zones // 4
    taw = rng.uniform(10, 90, zones)
    marks = max(zones // 5, 1)
    program_of_run = np.sort(rng.integers(0, programs, runs))
    return {
        "et_mm": rng.uniform(0, 9, (days, cells)),
        "rain_mm": np.where(rng.random((days, cells)) < 0.1, rng.gamma(1.0, 12.0, (days, cells)), 0.0),
        "cell_of_zone": np.sort(rng.integers(0, cells, zones)),
        "kl": rng.uniform(0.1, 1.1, (12, zones)),
        "month_of_day": np.arange(days) // 30 + 4,
        "taw_mm": taw,
        "raw_mm": taw * rng.uniform(0.3, 0.6, zones),
        "start_depletion_mm": taw * rng.random(zones),
        "watering": Watering(
            zone_of_run=rng.integers(0, zones, runs),
            program_of_run=program_of_run,
            net_mm=np.linspace(0, 2, 5)[:, np.newaxis] * rng.uniform(1, 15, runs),
            percent_index=np.repeat(rng.integers(0, 5, (days // 10 + 1, programs)), 10, axis=0)[:days],
            starts=(rng.random((days, programs)) < 0.4) * rng.integers(1, 3, (days, programs)),
        ),
        "trims": Marks(
            rng.integers(0, days, marks), rng.integers(0, zones, marks), rng.uniform(0.7, 1.3, marks)
        ),
        "observations": Marks(
            rng.integers(0, days, marks), rng.integers(0, zones, marks), rng.uniform(0, 90, marks)
        ),
    }


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), zones=st.integers(1, 40))
def test_the_books_of_a_season_close(seed, zones):
    inputs = fleet(seed, zones)
    season = season_balance(**inputs, keep=True)
    stored = season.irrigation_mm - season.drained_irrigation_mm + season.rain_mm - season.drained_rain_mm
    end = inputs["start_depletion_mm"] - stored + season.et_mm + season.observed_mm
    assert season.depletion_mm == pytest.approx(end, abs=1e-9)
    assert season.daily_depletion_mm is not None
    assert (season.daily_depletion_mm >= 0).all()
    assert (season.daily_depletion_mm <= inputs["taw_mm"]).all()
    assert (season.et_mm <= season.full_et_mm + 1e-9).all()
    assert season.daily_depletion_mm[-1].tolist() == season.depletion_mm.tolist()


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), at_once=st.integers(1, 30))
def test_blocks_of_any_size_give_the_same(seed, at_once):
    inputs = fleet(seed, 30)
    whole = season_balance(**inputs, keep=True)
    parts = season_balance(**inputs, keep=True, zones_at_once=at_once)
    for field in fields(whole):
        assert np.array_equal(getattr(whole, field.name), getattr(parts, field.name)), field.name


def plainly(inputs, zone):
    """The balance of one zone, written out in plain Python, a day at a time."""
    watering = inputs["watering"]
    taw, raw = float(inputs["taw_mm"][zone]), float(inputs["raw_mm"][zone])
    depletion, ends, trim = float(inputs["start_depletion_mm"][zone]), [], 1.0
    for day in range(len(inputs["et_mm"])):
        for run in range(len(watering.zone_of_run)):
            if watering.zone_of_run[run] == zone:
                program = watering.program_of_run[run]
                row = watering.percent_index[day, program]
                depletion -= watering.starts[day, program] * watering.net_mm[row, run]
        depletion = max(depletion, 0.0)
        cell = inputs["cell_of_zone"][zone]
        depletion = max(depletion - 0.8 * inputs["rain_mm"][day, cell], 0.0)
        for mark in range(len(inputs["trims"].day)):
            if inputs["trims"].day[mark] == day and inputs["trims"].zone[mark] == zone:
                trim = inputs["trims"].value[mark]
        et = inputs["et_mm"][day, cell] * inputs["kl"][inputs["month_of_day"][day] - 1, zone] * trim
        ks = 1.0 if depletion <= raw else (taw - depletion) / (taw - raw)
        depletion += min(ks * et, taw - depletion)
        for mark in range(len(inputs["observations"].day)):
            if inputs["observations"].day[mark] == day and inputs["observations"].zone[mark] == zone:
                depletion = min(inputs["observations"].value[mark], taw)
        ends.append(depletion)
    return ends


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_every_zone_follows_the_balance_written_out_plainly(seed):
    inputs = fleet(seed, 6)
    daily = season_balance(**inputs, keep=True).daily_depletion_mm
    for zone in range(6):
        assert daily[:, zone] == pytest.approx(plainly(inputs, zone), abs=1e-9)


@pytest.mark.parametrize("spoilt", ["taw_mm", "start_depletion_mm", "kl"])
def test_an_unknown_value_leaves_the_other_zones_known(spoilt):
    inputs = fleet(1, 12)
    whole = season_balance(**inputs, keep=True).daily_depletion_mm
    inputs[spoilt][..., 4] = np.nan
    with_gap = season_balance(**inputs, keep=True).daily_depletion_mm
    others = np.arange(12) != 4
    assert np.array_equal(with_gap[:, others], whole[:, others])
    assert np.isnan(with_gap[-1, 4])


def test_zones_without_runs_get_rain_alone():
    dry = season_balance(**(fleet(2, 3) | {"watering": no_runs(days=60), "observations": None}))
    assert dry.irrigation_mm.tolist() == [0.0, 0.0, 0.0]
    assert (dry.rain_mm > 0).all()


def test_a_fleet_without_zones_gives_an_empty_season():
    none = {"taw_mm": np.empty(0), "raw_mm": np.empty(0), "kl": np.empty((12, 0)), "start_depletion_mm": 0.0}
    season = three_days(**none, cell_of_zone=np.empty(0, dtype=int), watering=no_runs(days=3))
    assert season.daily_depletion_mm.shape == (3, 0)
    assert season.depletion_mm.size == 0


def no_runs(days):
    none = np.empty(0, dtype=int)
    empty = np.zeros((days, 0), dtype=int)
    return Watering(none, none, np.zeros((1, 0)), empty, empty)
