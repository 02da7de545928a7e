"""The blanks of what a bill of water is made of: its unit, fixed charge, period and tiers."""

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError

from common.errors import Refused
from desk.blanks import Blank, number, one_of, plain
from fleet.models import Tariff
from fleet.models.tariffs import TIER_FIELDS, tiers_of

LINE = re.compile(
    r"above (?P<above>[^:]*): (?P<price>.*?)(?:, (?P<season_from>[^,]*) to (?P<season_to>[^,]*))?"
)
MOST_FIXED = 100_000
LEAST_SHARE, MOST_SHARE = 10, 150
EMPTY_ROWS, FIRST_ROWS = 2, 4


def bill_blanks() -> list[Blank]:
    """Return the blanks of a bill."""
    return [
        Blank(
            "unit",
            "Unit of the bill",
            read=one_of(Tariff.Unit.choices),
            kind="choice",
            choices=Tariff.Unit.choices,
            effect="Tiers and their prices below are in it.",
        ),
        Blank(
            "fixed_charge",
            "Fixed charge of a bill",
            read=_fixed,
            show=lambda value: f"{Decimal(value):.2f}",
            unit="a bill",
            effect="Due whatever is used, so no saving touches it.",
        ),
        Blank(
            "period",
            "A bill is for",
            read=one_of(Tariff.Period.choices),
            kind="choice",
            choices=Tariff.Period.choices,
            effect="Tiers begin anew with each bill.",
        ),
        Blank(
            "tiers_in",
            "Tiers begin at",
            read=one_of(Tariff.TiersIn.choices),
            kind="choice",
            choices=Tariff.TiersIn.choices,
        ),
        Blank(
            "budget_factor",
            "Water budget of the utility",
            read=_factor,
            show=lambda value: plain(100.0 * value),
            unit="% of reference ET on the watered area",
            effect="Only where tiers begin at percents of it. The utility's rate sheet names its own factor.",
        ),
        Blank(
            "tiers",
            "Tiers",
            read=read_tiers,
            show=tiers_text,
            kind="tiers",
            most=4000,
            gather=typed_tiers,
            cells=cells_of,
            effect="Empty: one flat price, the one above. A tier goes up to where the next begins. Where "
            "prices go by season, fill its days (such as 05-01 to 09-30) by each of its tiers; tiers without "
            "days hold for the rest of the year.",
        ),
        Blank(
            "prorated",
            "Tiers shrink with a short bill",
            read=bool,
            show=lambda value: "yes" if value else "",
            kind="check",
            effect="Only if the rate sheet says so: a bill of half the days then has tiers half as wide.",
        ),
        Blank(
            "whole_units",
            "Only whole units are billed",
            read=bool,
            show=lambda value: "yes" if value else "",
            kind="check",
        ),
    ]


def tiers_text(rows: Any) -> str:
    """Return stored tiers as text, as ``read_tiers`` reads it."""
    return "; ".join(_line(row) for row in rows or ())


def typed_tiers(posted: Any) -> str | None:
    """Return tiers typed in a table as text; rows with nothing in them are none, and so is no table."""
    if "tiers-above" not in posted:
        return None
    columns = [[_cell(cell) for cell in posted.getlist(f"tiers-{name}")] for name in TIER_FIELDS]
    rows = [dict(zip(TIER_FIELDS, cells, strict=True)) for cells in zip(*columns, strict=False) if any(cells)]
    return tiers_text(rows)


def cells_of(text: str) -> list[list[str]]:
    """Return the cells of tiers, and of some empty rows to fill in."""
    rows = [[row[name] for name in TIER_FIELDS] for row in rows_of(text)]
    return rows + [[""] * len(TIER_FIELDS)] * (EMPTY_ROWS if rows else FIRST_ROWS)


def read_tiers(text: str) -> list[dict[str, str]]:
    """Return the tiers of a text as they are stored.

    Raises
    ------
    Refused
        If they are no tiers of one bill.
    """
    try:
        return [tier.kept() for tier in tiers_of(rows_of(text))]
    except ValidationError as error:
        raise Refused(error.messages[0]) from error


def rows_of(text: str) -> list[dict[str, str]]:
    """Return the cells of a text of tiers, row by row; what is none goes into the first, to be told there."""
    found = [(line, LINE.fullmatch(line)) for line in text.split("; ") if line]
    return [
        dict.fromkeys(TIER_FIELDS, "") | (_known(match) if match else {"above": line})
        for line, match in found
    ]


def _known(match: re.Match[str]) -> dict[str, str]:
    return {name: value or "" for name, value in match.groupdict().items()}


def _line(row: Mapping[str, str]) -> str:
    season = f", {row['season_from']} to {row['season_to']}" if row["season_from"] or row["season_to"] else ""
    return f"above {row['above']}: {row['price']}{season}"


def _cell(text: str) -> str:
    return re.sub(r"[;:]", " ", text).strip().removeprefix("$")


def _fixed(text: str) -> Decimal:
    value = number(text.removeprefix("$").strip() or "0")
    if not 0 <= value <= MOST_FIXED:
        raise Refused(f"It must lie between 0 and {MOST_FIXED:,}.")
    return Decimal(f"{value:.2f}")


def _factor(text: str) -> float:
    value = number(text.removesuffix("%").strip())
    if not LEAST_SHARE <= value <= MOST_SHARE:
        raise Refused(f"It must lie between {LEAST_SHARE} and {MOST_SHARE}.")
    return round(value / 100.0, 4)
