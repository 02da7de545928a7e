"""What a bill comes to: a fixed charge and tiers, each block of water at its own price. Money is Decimal.

A tier begins above an amount and ends where the next begins; blocks are half-open, so "0 to 8, 8 to 15" and
"1 to 8, 9 to 15" are the same tiers. Amounts are in the unit the bill is in.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal
from itertools import pairwise
from typing import Final

CENT: Final = Decimal("0.01")

# Litres in a unit of a bill, exact: a US gallon is 231 cubic inches (NIST SP 811, appendix B.8). Utilities
# print 748 gal for 100 ft3, which are 748.0519.
LITRES: Final[dict[str, Decimal]] = {
    "gal": Decimal("3.785411784"),
    "kgal": Decimal("3785.411784"),
    "ccf": Decimal("2831.6846592"),
    "m3": Decimal(1000),
    "l": Decimal(1),
}


@dataclass(frozen=True, slots=True)
class Tier:
    """Water above ``above`` units costs ``price`` a unit, up to where the next tier begins."""

    above: Decimal
    price: Decimal


def in_units(litres: float | Decimal, unit: str) -> Decimal:
    """Return litres in a unit of a bill: gal, kgal, ccf, m3 or l."""
    return Decimal(str(litres)) / LITRES[unit]


def volume_charge(
    used: Decimal, tiers: Sequence[Tier], *, share: Decimal = Decimal(1), whole: bool = False
) -> Decimal:
    """Return what an amount of water costs in tiers, without the fixed charge and not rounded.

    Parameters
    ----------
    used : Decimal
        Water of the bill, 0 or more. [units]
    tiers : sequence of Tier
        In rising order, the first above 0.
    share : Decimal
        Width of the tiers against a whole bill's: below 1 for a short bill whose tiers are prorated. [-]
    whole : bool
        Only whole units are billed, and what is over waits for the next bill (common practice, no source).

    Returns
    -------
    Decimal
        Charge. [currency]

    Raises
    ------
    ValueError
        If the use is negative, the share isn't above 0, or the tiers aren't in rising order from 0.

    References
    ----------
    .. [1] Any utility's rate schedule: ``sum over tiers (block x price)``.
    """
    if used < 0:
        raise ValueError(f"used is {used}, accepted 0 and more")
    if share <= 0:
        raise ValueError(f"share is {share}, accepted above 0")
    edges = [tier.above for tier in tiers]
    if not tiers or edges[0] != 0 or any(low >= high for low, high in pairwise(edges)):
        raise ValueError("tiers must begin above 0 and rise")
    if whole:
        used = used.to_integral_value(ROUND_FLOOR)
    charge = Decimal(0)
    for place, tier in enumerate(tiers):
        top = edges[place + 1] * share if place + 1 < len(edges) else used
        block = min(used, top) - tier.above * share
        if block > 0:
            charge += block * tier.price
    return charge


def bill(
    used: Decimal,
    tiers: Sequence[Tier],
    *,
    fixed: Decimal = Decimal(0),
    share: Decimal = Decimal(1),
    whole: bool = False,
) -> Decimal:
    """Return a bill to the cent: the fixed charge and the water in its tiers, as ``volume_charge`` says."""
    return cents(fixed + volume_charge(used, tiers, share=share, whole=whole))


def worth(
    saved: Decimal,
    used: Decimal,
    tiers: Sequence[Tier],
    *,
    share: Decimal = Decimal(1),
    whole: bool = False,
) -> Decimal:
    """Return what a saving was worth: the bill with the water that was saved less the bill without.

    So it counts at the tiers really avoided, not at a mean price. Water used in addition (``saved`` below 0)
    costs what the tiers it reached cost.

    Parameters
    ----------
    saved, used : Decimal
        Water saved, and water used all the same; ``used + saved`` below 0 counts as 0. [units]
    tiers, share, whole
        See ``volume_charge``.

    Returns
    -------
    Decimal
        Not rounded. [currency]
    """
    without = max(used + saved, Decimal(0))
    return volume_charge(without, tiers, share=share, whole=whole) - volume_charge(
        used, tiers, share=share, whole=whole
    )


def cents(money: Decimal) -> Decimal:
    """Return money rounded to the cent, halves away from zero."""
    return money.quantize(CENT, ROUND_HALF_UP)
