"""The blanks of the company's decision policy, in its units; an empty one means the usual value."""

from collections.abc import Callable
from typing import Any

from desk.blanks import Blank
from desk.policy_values import USUAL, YES, read, shown, unit_of
from fleet.policy_fields import POLICY_FIELDS, PolicyField


def policy_blanks(units: str) -> list[Blank]:
    """Return the blanks of a policy."""
    return [
        _tick(field) if field.measure == "yes or no" else _figure(field, units) for field in POLICY_FIELDS
    ]


def _tick(field: PolicyField) -> Blank:
    return Blank(
        field.name,
        field.label,
        read=lambda text: text == YES,
        show=lambda value: YES if value else "",
        effect=field.effect,
        kind="check",
    )


def _figure(field: PolicyField, units: str) -> Blank:
    return Blank(
        field.name,
        field.label,
        read=lambda text: read(field.name, text, units),
        show=_shown(field.name, units),
        effect=field.effect,
        unit=unit_of(field.name, units),
    )


def _shown(name: str, units: str) -> Callable[[Any], str]:
    """Return how a value is shown: an empty one as the usual value, since that is what holds."""
    return lambda value: shown(name, getattr(USUAL, name) if value is None else value, units)


def usual(blank: Blank) -> str:
    """Return what holds where nothing is typed."""
    return blank.show(None)
