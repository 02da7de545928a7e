"""Why a number of a plan is what it is: facts with their units, and a sentence around them."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

Show = Callable[[float, str], str]


@dataclass(frozen=True)
class Fact:
    """A value with its unit: mm, mm/d, mm/h, min, d, days, L, L/min, share, m2 or none; text has no
    unit. ``days`` reads after "every"."""

    value: float | str
    unit: str = ""
    basis: str = ""


@dataclass(frozen=True)
class Reason:
    """A sentence with places for facts."""

    template: str
    facts: Mapping[str, Fact] = field(default_factory=dict)

    @property
    def sentence(self) -> str:
        """Return it in SI units."""
        return self.told(in_si)

    def told(self, show: Show) -> str:
        """Return it with every value as ``show(value, unit)`` writes it."""
        words = {
            name: fact.value if isinstance(fact.value, str) else show(fact.value, fact.unit)
            for name, fact in self.facts.items()
        }
        return self.template.format(**words)


def in_si(value: float, unit: str) -> str:
    """Write a value in SI units."""
    if unit == "share":
        return f"{100 * value:.0f} %"
    if unit == "d":
        return "1 day" if value == 1 else f"{value:.1f}".removesuffix(".0") + " days"
    if unit == "days":
        return "day" if round(value) == 1 else f"{value:.0f} days"
    if unit in ("mm", "mm/d", "mm/h"):
        unit, digits = {"mm/d": ("mm", 1), "mm": ("mm", 1), "mm/h": ("mm an hour", 1)}[unit]
        return f"{value:.{digits}f} {unit}"
    if unit == "min":
        return f"{value:.1f}".removesuffix(".0") + " min"
    if unit == "L":
        return f"{value:,.0f} L"
    if unit == "":
        return f"{value:.1f}".removesuffix(".0")
    return f"{value:.1f} {unit}"
