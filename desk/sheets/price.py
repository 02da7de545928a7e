"""The blanks of a price of water, typed per whichever amount the bill names."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from common import units as convert
from common.errors import Refused
from desk.blanks import Blank, number, plain, words

CURRENCY = re.compile(r"[A-Z]{3}")
MOST_PER_M3 = 10_000.0


@dataclass(frozen=True)
class Per:
    """An amount of water a price is named for."""

    key: str
    label: str
    m3: float
    decimals: int = 3


PER = {
    per.key: per
    for per in (
        Per("kgal", "1,000 gal", 1000 * convert.L_PER_GALLON / convert.L_PER_M3),
        Per("ccf", "CCF (100 ft³)", convert.L_PER_CCF / convert.L_PER_M3),
        Per("m3", "m³", 1.0, 4),
    )
}


def usual_per(units: str) -> str:
    """Return the amount a company's bills name most often."""
    return "kgal" if units == "us" else "m3"


def price_blanks(per: Per) -> list[Blank]:
    """Return the blanks of a price."""
    return [
        Blank("name", "Name", read=words, most=120, required=True, effect="As the bill names it."),
        Blank(
            "price_per_m3",
            f"Price per {per.label}",
            read=_read(per),
            show=_show(per),
            unit=f"per {per.label}",
            required=True,
            effect="With tiers: what the last unit usually costs. Changes ahead are told in it, since "
            "nobody knows yet what else their bill will hold.",
        ),
        Blank(
            "currency",
            "Currency",
            read=_currency,
            most=3,
            required=True,
            effect="Three letters, such as USD or EUR.",
        ),
    ]


def price_text(price_per_m3: Decimal, per: Per) -> str:
    """Return a price per an amount with two decimals or more."""
    text = plain(float(price_per_m3) * per.m3, per.decimals)
    whole, _, rest = text.partition(".")
    return f"{whole}.{rest:0<2}"


def _read(per: Per) -> Callable[[str], Decimal]:
    def read(text: str) -> Decimal:
        value = number(text.removeprefix("$").strip()) / per.m3
        if not 0 <= value <= MOST_PER_M3:
            raise Refused(f"It must lie between 0 and {plain(MOST_PER_M3 * per.m3, 0)}.")
        return Decimal(f"{value:.4f}")

    return read


def _show(per: Per) -> Callable[[Any], str]:
    return lambda value: "" if value is None else price_text(Decimal(value), per)


def _currency(text: str) -> str:
    if not CURRENCY.fullmatch(text.upper()):
        raise Refused("Type three letters, such as USD.")
    return text.upper()
