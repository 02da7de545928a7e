"""How fast the season's balance runs, beside a published model of one field: ``python -m
tests.benchmarks.soil_water``.

pyfao56 (USDA-ARS) keeps a good deal more books for each day than we do (dual coefficients, tables of
results); it is here as the free reference for the same equations on one zone, as
``tests/scheduling/numerics`` compares them.
"""

from functools import partial
from typing import Any

import numpy as np

from scheduling.numerics.season_balance import season_balance
from scheduling.numerics.watering import Watering
from tests.benchmarks.timing import best_of
from tests.scheduling.numerics import test_against_pyfao56 as beside

DAYS = 240
ZONES_A_PROGRAM = 4


def season(zones: int, *, days: int = DAYS) -> dict[str, Any]:
    """Return the inputs of an invented season: a cell for 200 zones, percents that change weekly, a little
    rain."""
    rng = np.random.default_rng(zones)
    programs, cells = -(-zones // ZONES_A_PROGRAM), -(-zones // 200)
    taw = rng.uniform(15, 60, zones)
    percents = np.linspace(0, 2, 41)
    return {
        "et_mm": rng.uniform(2, 8, (days, cells)),
        "rain_mm": np.where(rng.random((days, 1)) < 0.1, rng.gamma(1.0, 8.0, (days, cells)), 0.0),
        "cell_of_zone": (np.arange(zones) // 200).astype(np.int32),
        "kl": rng.uniform(0.3, 1.0, (12, zones)),
        "month_of_day": np.arange(days) // 31 + 3,
        "taw_mm": taw,
        "raw_mm": 0.5 * taw,
        "start_depletion_mm": 0.3 * taw,
        "watering": Watering(
            zone_of_run=np.arange(zones),
            program_of_run=np.arange(zones) // ZONES_A_PROGRAM,
            net_mm=percents[:, np.newaxis] * rng.uniform(4, 14, zones),
            percent_index=np.repeat(rng.integers(5, 30, (days // 7 + 1, programs)), 7, axis=0)[:days],
            starts=(rng.random((days, programs)) < 0.45).astype(np.int64),
        ),
    }


def main() -> None:
    reference = beside.DAYS / best_of(lambda: beside.by_pyfao56(*beside.invented_weather()), times=3)
    print(f"pyfao56, one zone, {beside.DAYS} days: {reference:,.0f} zone-days a second")
    rates = {}
    for zones in (100, 1_000, 10_000, 100_000):
        inputs = season(zones)
        took = best_of(partial(season_balance, **inputs))
        rates[zones] = zones * DAYS / took
        print(
            f"season_balance, {zones:>7,} zones x {DAYS} days: {1000 * took:8.1f} ms, "
            f"{rates[zones] / 1e6:6.1f} million zone-days a second, "
            f"{rates[zones] / reference:9,.0f} times pyfao56"
        )
    inputs = season(10_000)
    kept = best_of(partial(season_balance, **inputs, keep=True))
    print(f"keeping every day of 10,000 zones: {1000 * kept:.1f} ms")
    growth = 100 * rates[100] / rates[10_000]
    print(f"growth in time from 100 to 10,000 zones (100 times as many): {growth:.0f} times")


if __name__ == "__main__":
    main()
