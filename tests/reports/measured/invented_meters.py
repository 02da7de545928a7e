"""Invented meters whose true saving is known: weather, a way of watering, indoor use, and chance."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from reports.numerics.measured.regression import Fit, fit
from reports.numerics.measured.terms import design, names_of
from reports.numerics.measured.uncertainty import detected, sum_uncertainty


@dataclass(frozen=True)
class Kind:
    """What a meter is like. ``follows`` is how far a month's chance follows the one before."""

    bills: int = 24
    counted: int = 12
    mixed: bool = True
    saving: float = 0.2  # of what is watered
    follows: float = 0.2
    chance: float = 0.12  # of the mean bill
    grows: bool = False  # chance in proportion to the bill instead
    waters_by_block: bool = False


@dataclass(frozen=True)
class Outcome:
    """What was measured and what is true. [L]"""

    saved_l: float
    uncertainty_l: float
    true_l: float
    fitted: Fit

    @property
    def covers(self) -> bool:
        return abs(self.saved_l - self.true_l) <= self.uncertainty_l

    @property
    def detected(self) -> bool:
        return detected(self.saved_l, self.uncertainty_l)


def months(count: int) -> tuple[list[date], list[date]]:
    """Return bills from the 12th to the 11th."""
    firsts = [date(2022 + (n // 12), 1 + n % 12, 12) for n in range(count + 1)]
    return firsts[:-1], [first - timedelta(days=1) for first in firsts[1:]]


def one(seed: int, kind: Kind) -> Outcome:
    rng = np.random.default_rng(seed)
    count = kind.bills + kind.counted
    firsts, lasts = months(count)
    days = np.array([(b - a).days + 1.0 for a, b in zip(firsts, lasts, strict=True)])
    turn = 2 * np.pi * (np.array([a.timetuple().tm_yday for a in firsts]) + 15) / 365
    et = np.maximum(3.6 - 2.9 * np.cos(turn), 0.2) * (1 + rng.normal(0, 0.1, count)) * days
    rain = 0.8 * np.maximum(1.2 + 1.1 * np.cos(turn), 0) * rng.gamma(2, 0.5, count) * days
    need = np.maximum(0.7 * et - rain, 0) * 1000
    watered = 1.4 * need
    if kind.waters_by_block:  # from April to October whatever the weather, and a little by it
        watered = 0.7 * need + 1.2 * need.mean() * (np.cos(turn) < 0.1) * (1 - 0.4 * np.cos(turn))
    indoors = 0.5 * need.mean() * days / 30 if kind.mixed else 0 * days
    full = watered + indoors
    chance = np.empty(count)
    for n, fresh in enumerate(rng.normal(size=count)):
        chance[n] = fresh if n == 0 else kind.follows * chance[n - 1] + (1 - kind.follows**2) ** 0.5 * fresh
    used = full * (1 + kind.chance * chance) if kind.grows else full + kind.chance * full.mean() * chance
    used = np.maximum(used, 0.0)
    before, after = slice(0, kind.bills), slice(kind.bills, None)
    used[after] -= kind.saving * watered[after]
    names = names_of(bills=kind.bills)
    x, long = design(names, firsts=firsts, lasts=lasts, need_l=need)
    fitted = fit(x[before], used[before], long[before])
    calendar = {a.month for a in firsts[after]}
    alike = np.array([a.month in calendar for a in firsts[before]])
    return Outcome(
        saved_l=float((x[after] @ fitted.coefficients - used[after]).sum()),
        uncertainty_l=sum_uncertainty(fitted, x[after], long[after], alike=alike),
        true_l=float(kind.saving * watered[after].sum()),
        fitted=fitted,
    )
