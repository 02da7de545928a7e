"""The survey tables against the printed figures, and that every value names where it comes from."""

from dataclasses import fields
from typing import Any

import numpy as np
import pytest

from fleet.numerics.heads import HEADS, ground_share
from fleet.numerics.plants import PLANTS
from fleet.numerics.soils import SOILS, allowable_accumulation
from fleet.numerics.sourced import Sourced
from fleet.numerics.sun import SUNS

TABLES: dict[str, dict[str, Any]] = {"soils": SOILS, "plants": PLANTS, "heads": HEADS, "suns": SUNS}


def facts(row):
    for field in fields(row):
        value = getattr(row, field.name)
        yield from (value if isinstance(value, tuple) else (value,))


@pytest.mark.parametrize("table", TABLES)
def test_every_value_names_its_source_and_how_sure_it_is(table):
    for row in TABLES[table].values():
        known = [fact for fact in facts(row) if isinstance(fact, Sourced)]
        assert known
        for fact in known:
            assert len(fact.source) > 10
            assert fact.standing in ("confirmed", "from memory", "assumed")


@pytest.mark.parametrize("table", TABLES)
def test_keys_are_snake_case_and_names_are_for_people(table):
    for key, row in TABLES[table].items():
        assert key == key.lower()
        assert key.replace("_", "").isalpha()
        assert row.name[0].isupper()


@pytest.mark.parametrize(
    ("soil", "intake_in_h", "flat_in"),
    [
        ("clay", 0.10, 0.20),
        ("silty_clay", 0.15, 0.23),
        ("clay_loam", 0.20, 0.26),
        ("loam", 0.35, 0.30),
        ("sandy_loam", 0.40, 0.33),
        ("loamy_sand", 0.50, 0.36),
        ("sand", 0.60, 0.40),
    ],
)
def test_intake_and_flat_accumulation_are_the_published_columns(soil, intake_in_h, flat_in):
    # IA (2005), columns as encoded in a public R package (R/soil_intake.R, R/allow_surf_acc.R).
    assert SOILS[soil].intake_mm_h.value == pytest.approx(25.4 * intake_in_h)
    assert SOILS[soil].accumulation_mm[0].value == pytest.approx(25.4 * flat_in)


@pytest.mark.parametrize(
    ("soil", "low", "high"),
    [
        ("clay", 133, 208),
        ("silty_clay", 133, 208),
        ("clay_loam", 146, 208),
        ("loam", 125, 192),
        ("sandy_loam", 104, 146),
        ("loamy_sand", 62, 104),
    ],
)
def test_capacity_lies_inside_the_range_of_its_texture_group(soil, low, high):
    # UC Davis, Drought Management, Soil Characteristics, mm of water per m of soil.
    assert low <= 1000 * SOILS[soil].capacity.value <= high


def test_steeper_slopes_hold_less_on_the_surface():
    for soil in SOILS.values():
        depths = [band.value for band in soil.accumulation_mm]
        assert depths == sorted(depths, reverse=True)


@pytest.mark.parametrize(
    ("slope", "inches"),
    [
        (0, 0.30),
        (3, 0.30),
        (3.1, 0.25),
        (3.5, 0.25),
        (6, 0.25),
        (6.01, 0.21),
        (12, 0.21),
        (12.5, 0.17),
        (45, 0.17),
    ],
)
def test_a_slope_between_two_bands_is_rounded_up_to_the_next_whole_percent(slope, inches):
    assert allowable_accumulation(["loam"], slope)[0] == pytest.approx(25.4 * inches)


def test_accumulation_of_many_zones_follows_soil_and_slope():
    depth = allowable_accumulation(["clay", "sand", "loam"], [20.0, 0.0, np.nan])
    assert depth[:2] == pytest.approx([25.4 * 0.10, 25.4 * 0.40])
    assert np.isnan(depth[2])


def test_an_unknown_soil_is_refused_by_name():
    with pytest.raises(ValueError, match="soils holds 'chalk'"):
        allowable_accumulation(["loam", "chalk"], 0.0)


def test_a_negative_slope_is_refused():
    with pytest.raises(ValueError, match="slope_percent is -1"):
        allowable_accumulation(["loam"], -1.0)


def test_a_rate_caught_in_cans_has_no_loss_in_the_air_left():
    heads = ["spray", "spray", "drip", "bubbler", "rotor"]
    caught = [True, False, False, False, False]
    assert ground_share(heads, caught_in_cans=caught).tolist() == [1.0, 0.95, 1.0, 1.0, 0.95]


def test_good_uniformity_is_that_of_the_published_scale():
    # IA scale, "good" column (from memory): spray 65, rotor 70, impact 70, rotary nozzle 70, micro-spray
    # 70, drip 80.
    good = {"spray": 65, "rotor": 70, "impact": 70, "rotary_nozzle": 70, "micro_spray": 70, "drip": 80}
    assert {key: round(100 * HEADS[key].uniformity.value) for key in good} == good


@pytest.mark.parametrize(
    ("head", "low", "high"),
    [
        ("spray", 1.3, 2.0),
        ("rotor", 0.25, 0.80),
        ("impact", 0.3, 0.7),
        ("rotary_nozzle", 0.4, 0.6),
        ("micro_spray", 0.3, 1.0),
        ("bubbler", 1.0, 5.0),
        ("drip", 0.2, 1.0),
    ],
)
def test_typical_rate_lies_inside_the_handbook_range(head, low, high):
    # Scheduling handbooks' typical rates, in/h (from memory).
    assert low <= HEADS[head].rate_mm_h.value / 25.4 <= high


def test_sun_factors_lie_inside_the_guides_range():
    # UC/DWR guide: 1.0 in the open, 0.5 to 0.9 in shade (from memory).
    assert SUNS["full"].microclimate.value == 1.0
    assert 0.5 <= SUNS["shade"].microclimate.value < SUNS["part_shade"].microclimate.value <= 0.9
