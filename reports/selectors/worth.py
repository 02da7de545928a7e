"""What saved water was worth: what the bills would have come to with it, less what they came to.

A bill that lies only partly in the days asked for is taken as if its other days went alike: its tiers are as
wide as the share of it those days are. Where prices change with the season within a bill, each season's days
count by themselves in the same way.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from statistics import median

import numpy as np
from numpy.typing import NDArray

from common.months import month_after
from fleet.models import Site, Tariff
from fleet.models.tariffs import TariffTier, tiers_held, tiers_of
from reports.numerics.bill import LITRES, Tier, cents, in_units, worth
from reports.selectors.budget import area_of, reference_et

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Bill = tuple[date, date]

NO_PRICE = "the site has no price of water"
NO_BUDGET = "the tiers go by a water budget, and the watered area or the weather isn't known"


@dataclass(frozen=True)
class Worth:
    """A saving in money, None where that isn't known, and in words how it was counted."""

    money: Decimal | None
    currency: str
    words: str


@dataclass(frozen=True)
class Water:
    """Litres of some days in a row, (days,): saved, used all the same, and which of the days count.

    ``metered_l`` is what the site's meter counted, NaN where nobody knows: a bill whose days are all known
    goes by it, any other by ``used_l``. ``et_area_l`` is the water reference ET takes from the whole watered
    area, for tiers that go by a budget.
    """

    first: date
    saved_l: Floats
    used_l: Floats
    counts: Bools
    metered_l: Floats | None = None
    et_area_l: Floats | None = None

    def use_of(self, rows: list[int]) -> tuple[float, bool]:
        """Return the use of some days, and whether a meter tells it. [L]"""
        if self.metered_l is not None and np.isfinite(self.metered_l[rows]).all():
            return float(self.metered_l[rows].sum()), True
        return float(self.used_l[rows].sum()), False


@dataclass(frozen=True)
class Valued:
    """A saving at the tiers it avoided, None where a budget they go by isn't known; what use it went by."""

    money: Decimal | None
    metered: bool = False
    estimated: bool = False

    @property
    def words(self) -> str:
        """Say which use was taken."""
        if self.money is None:
            return NO_BUDGET
        told = [("what the meter counted", self.metered), ("the estimated use", self.estimated)]
        return "on " + ", elsewhere on ".join(words for words, holds in told if holds)


def worth_of(site: Site, *, first: date, last: date, saved_l: float, used_l: float) -> Worth:
    """Return what a saving of some days was worth at a site.

    Both are spread evenly over the days. What the pages say of estimated savings goes by each day's own water
    (``reports/selectors/savings.py``), and so may differ where tiers are crossed in single months.

    Parameters
    ----------
    site
        With its tariff and its client's company.
    first, last
        Days, both included.
    saved_l
        Water saved; below 0 is water used in addition. [L]
    used_l
        Water used all the same, as metered where there is a meter, 0 or more. [L]
    """
    tariff = site.tariff
    if tariff is None:
        return Worth(None, site.client.company.currency, NO_PRICE)
    if not tariff.tiers:
        return Worth(flat_worth(tariff, saved_l), tariff.currency, words_of(tariff))
    days = (last - first).days + 1
    et_area = None
    if tariff.tiers_in == Tariff.TiersIn.BUDGET:
        et_area = reference_et(site, first=first, last=last) * area_of(site)
    water = Water(
        first=first,
        saved_l=np.full(days, saved_l / days),
        used_l=np.full(days, used_l / days),
        counts=np.ones(days, dtype=bool),
        et_area_l=et_area,
    )
    money = tiered_worth(tariff, water).money
    return Worth(money, tariff.currency, words_of(tariff) if money is not None else NO_BUDGET)


def words_of(tariff: Tariff) -> str:
    """Say how savings are counted in money with a tariff."""
    if not tariff.tiers:
        return f"at the flat price of {tariff.name}"
    return f"at the tiers that the saved water would have reached ({tariff.name})"


def flat_worth(tariff: Tariff, saved_l: float) -> Decimal:
    """Return a saving at a flat price."""
    return cents(Decimal(str(saved_l)) / 1000 * tariff.price_per_m3)


def tiered_worth(tariff: Tariff, water: Water, *, bills: Sequence[Bill] = ()) -> Valued:
    """Return a saving at the tiers it avoided, bill by bill.

    ``bills`` are the first and last days of the meter's bills, where the tariff goes by them; days that no
    bill holds count by calendar months.
    """
    total, by = Decimal(0), {True: False, False: False}
    for part in _parts(tariff, water, bills):
        used_l, metered = water.use_of(part.rows)
        by[metered] = True
        used = in_units(max(used_l, 0.0), tariff.unit)
        saved = in_units(float(water.saved_l[part.rows].sum()), tariff.unit)
        share, scale = part.share, Decimal(1)
        if tariff.tiers_in == Tariff.TiersIn.BUDGET:
            budget = _budget(tariff, water, part.rows)
            if budget is None:
                return Valued(None)
            share, scale = Decimal(1), budget / 100
        tiers = [Tier(tier.above * scale, tier.price) for tier in part.tiers]
        total += worth(saved, used, tiers, share=share, whole=tariff.whole_units and part.whole)
    return Valued(cents(total), metered=by[True], estimated=by[False])


@dataclass(frozen=True)
class _Part:
    """The days of one bill under the same tiers; ``share`` is their tiers' width against a whole bill's."""

    rows: list[int]
    tiers: list[TariffTier]
    share: Decimal
    whole: bool


def _parts(tariff: Tariff, water: Water, bills: Sequence[Bill]) -> Iterator[_Part]:
    known = tiers_of(tariff.tiers)
    found: dict[tuple[date, date, tuple[TariffTier, ...]], list[int]] = {}
    for row in np.flatnonzero(water.counts).tolist():
        day = water.first + timedelta(days=row)
        key = (*_bill_of(day, tariff, bills), tuple(tiers_held(known, day)))
        found.setdefault(key, []).append(row)
    usual = Decimal(median((last - first).days + 1 for first, last in bills)) if bills else None
    for (first, last, tiers), rows in found.items():
        days = (last - first).days + 1
        share = Decimal(len(rows)) / days
        if tariff.prorated and usual is not None and (first, last) in bills:
            share *= min(Decimal(days) / usual, Decimal(1))
        yield _Part(rows, list(tiers), share, whole=len(rows) == days)


def _bill_of(day: date, tariff: Tariff, bills: Sequence[Bill]) -> Bill:
    """Return the first and last day of the bill a day is on."""
    if tariff.period == Tariff.Period.BILL:
        for first, last in bills:
            if first <= day <= last:
                return first, last
    two = tariff.period == Tariff.Period.TWO_MONTHS
    first = date(day.year, day.month - (day.month - 1) % 2 if two else day.month, 1)
    after = first
    for _ in range(2 if two else 1):
        after = month_after(after)
    return first, after - timedelta(days=1)


def _budget(tariff: Tariff, water: Water, rows: list[int]) -> Decimal | None:
    """Return the utility's water budget for some days in units of the bill, None where it isn't known."""
    if water.et_area_l is None:
        return None
    litres = tariff.budget_factor * float(water.et_area_l[rows].sum())
    return Decimal(str(litres)) / LITRES[tariff.unit] if np.isfinite(litres) and litres > 0.0 else None
