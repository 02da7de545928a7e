"""The blanks of a kind of zone."""

from typing import Any

from common.errors import Refused
from desk.blanks import Blank, one_of, words
from desk.set_up.columns import BY_FIELD, Column
from fleet.models.set_up import KIND_FIELDS

NEEDED = ("slope_percent", "wetted_share")
TABLE = "Empty: the value our tables have for its plants and heads."


def kind_blanks(units: str) -> list[Blank]:
    """Return the blanks of a kind of zone, amounts in a company's units."""
    name = Blank(
        "name", "Name", read=words, most=120, required=True, effect="As you call such zones among yourselves."
    )
    return [name, *(_blank(BY_FIELD[field], units) for field in KIND_FIELDS)]


def _blank(column: Column, units: str) -> Blank:
    if column.table is not None:
        return Blank(
            column.field,
            column.label,
            read=one_of(column.choices),
            kind="choice",
            choices=column.choices,
        )

    def read(text: str) -> Any:
        value = column.read(text, units)
        if value is None and column.field in NEEDED:
            raise Refused("This can't be empty.")
        return value

    return Blank(
        column.field,
        column.label,
        read=read,
        show=lambda value: column.text(value, units),
        unit=column.unit(units),
        effect="" if column.field in NEEDED else TABLE,
    )
