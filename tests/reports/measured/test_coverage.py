"""Two hundred invented meters of each kind: how often the measured saving holds the true one."""

import sys
from typing import Any

import pytest
from scipy.stats import binom

from reports.numerics.measured.uncertainty import CONFIDENCE
from tests.reports.measured.invented_meters import Kind, one

SEEDS = 200
USUAL = {
    "mixed, two years": Kind(),
    "mixed, one year": Kind(bills=12),
    "mixed, three years": Kind(bills=36),
    "mixed, months that know nothing of each other": Kind(follows=0.0),
    "irrigation alone": Kind(mixed=False),
    "irrigation alone, no saving": Kind(mixed=False, saving=0.0),
    "mixed, no saving": Kind(saving=0.0),
}
HARDER = {  # chance that grows with the bill or follows further, water by the calendar: less sure than told
    "chance grows with the bill": Kind(grows=True),
    "irrigation alone, chance grows": Kind(mixed=False, grows=True),
    "chance follows by 0.4": Kind(follows=0.4),
    "watered by the calendar": Kind(waters_by_block=True),
    "irrigation alone, by the calendar": Kind(mixed=False, waters_by_block=True),
    "irrigation alone, one year": Kind(mixed=False, bills=12),
}


@pytest.mark.prove
def test_the_measured_saving_holds_the_true_one_as_often_as_promised(capsys: Any) -> None:
    low, high = binom.interval(0.99, SEEDS, CONFIDENCE)
    rows, false = {}, 0
    for name, kind in {**USUAL, **HARDER}.items():
        found = [one(seed, kind) for seed in range(SEEDS)]
        rows[name] = covered, told = sum(o.covers for o in found), sum(o.detected for o in found)
        false += told if kind.saving == 0 else 0
    with capsys.disabled():
        sys.stdout.write(f"\nmeasured savings of {SEEDS} invented meters a kind, promised {CONFIDENCE:.0%}")
        sys.stdout.write(f" (99 % of draws: {low:.0f} to {high:.0f})\n")
        for name, (covered, told) in rows.items():
            sys.stdout.write(f"  {name:<48} held {covered:>3}  detected {told:>3}\n")
        sys.stdout.write(f"  detected where nothing was saved: {false} of {2 * SEEDS}\n")
    assert {name: rows[name][0] for name in USUAL if not low <= rows[name][0] <= high} == {}
    assert {name: rows[name][0] for name in HARDER if rows[name][0] < 0.8 * SEEDS} == {}
    assert false <= 0.02 * 2 * SEEDS
