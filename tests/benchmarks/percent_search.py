"""How fast the percents of a fleet are found: ``python -m tests.benchmarks.percent_search``."""

from functools import partial

import numpy as np

from scheduling.numerics.gross_to_net import Application
from scheduling.numerics.percent_search import search
from scheduling.numerics.run_times import depths_at, program_minutes
from tests.benchmarks.timing import best_of
from tests.scheduling.numerics.decisions import DAYS, decisions

ZONES_A_PROGRAM = 4


def main() -> None:
    took = {}
    for programs in (100, 1_000, 10_000):
        inputs = decisions(1, programs, ZONES_A_PROGRAM)
        took[programs] = best_of(partial(search, **inputs))
        print(
            f"search, {programs:>6,} programs x {ZONES_A_PROGRAM} zones x {len(inputs['percents'])} percents "
            f"x {DAYS - 1} days: {1000 * took[programs]:7.1f} ms"
        )
    print(f"growth from 100 to 10,000 programs (100 times as many): {took[10_000] / took[100]:.0f} times")
    run_times(10_000 * ZONES_A_PROGRAM)


def run_times(runs: int) -> None:
    """Time what comes before the search: the depths of every run and the length of every program."""
    rng = np.random.default_rng(2)
    percents, minutes = np.linspace(0, 2, 41), rng.integers(5, 30, runs)
    cycle, soak = rng.uniform(5, 15, runs), rng.uniform(5, 40, runs)
    rate, intake, accumulation = (
        rng.uniform(*span, runs) for span in ((8.0, 45.0), (2.5, 15.0), (2.5, 10.0))
    )
    soil = Application(rate, 0.95, 0.8, intake, accumulation)
    owner = np.arange(runs) // ZONES_A_PROGRAM

    depths = partial(depths_at, percents, minutes, 1.0, application=soil, cycle_min=cycle, soak_min=soak)
    lengths = partial(program_minutes, depths().minutes, cycle_min=cycle, soak_min=soak, program_of_run=owner)
    print(f"depths_at, {runs:,} runs x 41 percents with cycles and soaks: {1000 * best_of(depths):.1f} ms")
    print(f"program_minutes, the same: {1000 * best_of(lengths):.1f} ms")


if __name__ == "__main__":
    main()
