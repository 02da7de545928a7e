"""An example of what a bill comes to, as one types what it is made of."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from desk import figures
from fleet.models import Tariff
from fleet.models.tariffs import TariffTier, tiers_of
from reports.numerics.bill import Tier, bill, cents, worth

# 10, 20, 40 and 80 of the larger units, thousands of gallons and litres; a saving is a quarter of each.
USES = {
    unit: tuple(Decimal(n) * step for n in (10, 20, 40, 80))
    for unit, step in {"gal": 1000, "kgal": 1, "ccf": 1, "m3": 1, "l": 1000}.items()
}
SHORT = {"ccf": "CCF", "m3": "m³", "l": "L"}
OF_BUDGET = (50, 100, 150, 200)
BUDGET = Decimal(20)


@dataclass(frozen=True)
class Line:
    """One use of water: what the bill is, and what it would be worth to use a quarter less."""

    use: str
    bill: str
    less: str
    worth: str


@dataclass(frozen=True)
class Example:
    """Some bills in one season of the year; ``season`` is empty where there is only one."""

    season: str
    lines: list[Line]


def examples(tariff: Tariff, *, typed: Mapping[str, Any] | None = None) -> list[Example]:
    """Return example bills of a tariff, with what was typed over it; none where its price is flat."""
    said = dict(typed or {})
    row = Tariff(
        **{f.attname: said.get(f.name, getattr(tariff, f.attname)) for f in tariff._meta.concrete_fields}
    )
    tiers = tiers_of(row.tiers)
    seasons: dict[tuple[str, str], list[TariffTier]] = {}
    for tier in tiers:
        seasons.setdefault(tier.season, []).append(tier)
    return [
        Example(_season_words(season, len(seasons)), _lines(row, own))
        for season, own in sorted(seasons.items())
    ]


def _lines(row: Tariff, tiers: Sequence[TariffTier]) -> list[Line]:
    by_budget = row.tiers_in == Tariff.TiersIn.BUDGET
    step = USES[row.unit][0] / 10
    size = BUDGET * step / 100 if by_budget else Decimal(1)
    edges = [Tier(tier.above * size, tier.price) for tier in tiers]
    fixed = Decimal(row.fixed_charge)
    uses = [BUDGET * step * n / 100 for n in OF_BUDGET] if by_budget else USES[row.unit]

    def line(used: Decimal, label: str) -> Line:
        saved = used / 4
        whole = row.whole_units
        return Line(
            use=label,
            bill=_money(bill(used, edges, fixed=fixed, whole=whole), row.currency),
            less=_water(saved, row.unit),
            worth=_money(worth(saved, used - saved, edges, whole=whole), row.currency),
        )

    shares = [f"{n} % of a budget of {_water(BUDGET * step, row.unit)}" for n in OF_BUDGET]
    labels = shares if by_budget else [_water(use, row.unit) for use in uses]
    return [line(use, label) for use, label in zip(uses, labels, strict=True)]


def _water(amount: Decimal, unit: str) -> str:
    """Return an amount in a unit of a bill as it is read: 1,000 gal in gallons."""
    count, name = (amount * 1000, "gal") if unit == Tariff.Unit.KGAL else (amount, SHORT.get(unit, unit))
    return f"{figures.number(float(count), 1).removesuffix('.0')} {name}"


def _money(amount: Decimal, currency: str) -> str:
    text = f"{cents(amount):,.2f}"
    return f"${text}" if currency == "USD" else f"{text}{figures.NBSP}{currency}"


def _season_words(season: tuple[str, str], count: int) -> str:
    if season[0]:
        return f"{season[0]} to {season[1]}"
    return "the rest of the year" if count > 1 else ""
