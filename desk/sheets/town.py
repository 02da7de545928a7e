"""The blanks of a town, and of what a site has to do with one."""

from collections.abc import Callable, Sequence
from typing import Any

from common.errors import Refused
from desk.blanks import Blank, one_of, whole, words
from fleet.models import Town, WateringRule


def town_blanks() -> list[Blank]:
    """Return the blanks of a town; the stage is switched, not typed."""
    return [
        Blank(
            "name",
            "Name",
            read=words,
            most=120,
            required=True,
            effect="A town, or whoever else sets stages: a water district, an association.",
        )
    ]


def site_rule_blanks(rules: Sequence[WateringRule], towns: Sequence[Town]) -> list[Blank]:
    """Return the blanks that say under which rule a site is."""
    return [
        _row("town_id", "Town", "none", towns, "Its stage decides then, and not a rule of the site's own."),
        _row("watering_rule_id", "Rule of its own", "none", rules, "Where it belongs to no town."),
        Blank(
            "kind",
            "Kind of site",
            read=words,
            most=40,
            effect="As the town's rules say it, such as shared grounds. Empty: no kind of its own.",
        ),
        Blank(
            "house_number",
            "House number",
            read=_number,
            show=lambda value: "" if value is None else str(value),
            effect="For odd and even addresses. Empty: the number the address gives.",
        ),
    ]


def _row(name: str, label: str, none: str, rows: Sequence[Any], effect: str) -> Blank:
    listed = [("", none), *((str(row.pk), str(row)) for row in rows)]
    return Blank(
        name,
        label,
        read=_key(one_of(listed)),
        show=lambda value: "" if value is None else str(value),
        kind="choice",
        choices=listed,
        effect=effect,
    )


def _key(offered: Callable[[str], str]) -> Callable[[str], int | None]:
    return lambda text: int(offered(text)) if text else None


def _number(text: str) -> int | None:
    if not text:
        return None
    value = whole(text)
    if value > 1_000_000:
        raise Refused("No house has a number like that.")
    return value
