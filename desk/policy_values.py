"""The values of a policy as people read and type them, in the company's units."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from common import units as convert
from common.errors import Refused
from desk.blanks import number, plain, whole
from desk.figures import significant
from fleet.policy_fields import POLICY_FIELD, WHOLE, Measure, PolicyField
from fleet.selectors.policies import PolicyInForce

USUAL = PolicyInForce()
YES, NO = "yes", "no"
LONGEST = 40
TYPED_DECIMALS, AS_TYPED = 2, 1e-4  # a value that is that near to so many decimals was typed in these units

Turn = Callable[[float], float]


@dataclass(frozen=True)
class Told:
    """How a measure is told: its unit, the way there and back, and how the other system's are rounded."""

    unit: str = ""
    out: Turn = float
    back: Turn = float
    rounded: Turn = lambda value: round(value, 1)


def _two_figures(value: float) -> float:
    return significant(value, 2)


METRIC: dict[Measure, Told] = {
    "yes or no": Told(),
    "points": Told("points"),
    "percent": Told("%"),
    "share": Told("%", lambda v: 100 * v, lambda v: v / 100),
    "litres a week": Told("L a week", rounded=_two_figures),
    "temperature": Told("°C"),
    "wind": Told("m/s"),
}
US: dict[Measure, Told] = METRIC | {
    "litres a week": Told(
        "gal a week",
        lambda v: v / convert.L_PER_GALLON,
        lambda v: v * convert.L_PER_GALLON,
        rounded=_two_figures,
    ),
    "temperature": Told("°F", convert.fahrenheit, convert.celsius, rounded=round),
    "wind": Told(
        "mph",
        lambda v: v / convert.M_S_PER_MILE_PER_HOUR,
        lambda v: v * convert.M_S_PER_MILE_PER_HOUR,
        rounded=round,
    ),
}


def told(name: str, units: str) -> Told:
    """Return how a field of the policy is told in a system of units."""
    return (US if units == "us" else METRIC)[POLICY_FIELD[name].measure]


def unit_of(name: str, units: str) -> str:
    """Return the unit a value is told in; nothing for a yes or no."""
    return told(name, units).unit


def shown(name: str, value: Any, units: str) -> str:
    """Return a value in words, without its unit.

    What was typed in these units stands as it was typed; the usual value, and what comes from the other
    system, is rounded to a value a person would choose. The stored value stays as it is: untouched text is
    never read back.
    """
    if value is None:
        return ""
    if POLICY_FIELD[name].measure == "yes or no":
        return YES if value else NO
    how = told(name, units)
    exact = how.out(float(value))
    typed = value != getattr(USUAL, name) and abs(exact - round(exact, TYPED_DECIMALS)) < AS_TYPED
    return plain(exact if typed else how.rounded(exact), TYPED_DECIMALS)


def read(name: str, text: str, units: str) -> Any:
    """Return what was typed for a value, as it is stored; None where nothing was.

    Raises
    ------
    Refused
        If it isn't a number within the bounds, or neither yes nor no; ``field`` says where.
    """
    try:
        return _read(POLICY_FIELD[name], text.strip(), units)
    except Refused as refused:
        raise Refused(refused.message, field=name) from None


def _read(field: PolicyField, text: str, units: str) -> Any:
    if not text:
        return None
    if "\0" in text:
        raise Refused("There is a character in it that can't be kept. Type it anew.")
    if len(text) > LONGEST:
        raise Refused(f"{LONGEST} characters at the most; this has {len(text):,}.")
    if field.measure == "yes or no":
        if text not in (YES, NO):
            raise Refused("Pick yes, no or the company's.")
        return text == YES
    how = told(field.name, units)
    bare = text.removesuffix("%").strip() if how.unit == "%" else text
    value = whole(bare) if field.measure in WHOLE else round(how.back(number(bare)), 6)
    if not field.holds(value):
        raise Refused(within(field, units))
    return value


def within(field: PolicyField, units: str) -> str:
    """Return the bounds of a field in words."""
    low, high = (shown(field.name, bound, units) for bound in (field.low, field.high))
    return f"{low} to {high} {unit_of(field.name, units)}.".replace("-", "\u2212")
