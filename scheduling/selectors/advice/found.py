"""What a line of advice holds."""

from dataclasses import dataclass, field
from typing import Any

from fleet.models import Controller, Zone
from scheduling.models import Change, Program
from scheduling.models.detail import Detail

# A season of half a year, where only a week's water is known: common practice, no source.
WEEKS_A_YEAR = 26.0


@dataclass(frozen=True)
class Found:
    """One thing worth doing at a controller, and what it is worth.

    ``litres_week`` water it saves in a week against the settings in force going on, below zero where it takes
    more; ``litres_year`` the same in a usual year [L]; either may be unknown. Where a change follows, its own
    effect is the figure, see ``scheduling/services/advice_worth.py``.

    ``risk`` 0 none, 1 plants or ground suffer now and then, 2 they do or a rule is broken.
    ``facts`` are the numbers it was found from, by name and unit. ``detail`` is what following it would key
    in, ``becomes`` the kind of change that makes; None and empty where a person has to plan.
    """

    kind: str
    controller: Controller
    words: str
    program: Program | None = None
    zone: Zone | None = None
    litres_week: float | None = None
    litres_year: float | None = None
    risk: int = 0
    facts: dict[str, Any] = field(default_factory=dict)
    detail: Detail | None = None

    @property
    def becomes(self) -> str:
        """Return the kind of change that would follow it: the least that says all it keys in."""
        if self.detail is None:
            return ""
        return _kind(self.detail)

    @property
    def key(self) -> str:
        """Return what it is about: the same line tomorrow has the same key."""
        letter = self.program.letter if self.program is not None else ""
        return f"{self.kind}:{letter}:{self.zone.number if self.zone is not None else ''}"


def _kind(detail: Detail) -> str:
    one = detail.programs[0]
    if len(detail.programs) > 1 or one.before is None or one.before.starts != one.after.starts:
        return str(Change.Kind.PROGRAM)
    return str(Change.Kind.MINUTES if one.before.days == one.after.days else Change.Kind.DAYS)
