"""What a line of advice holds."""

from dataclasses import dataclass, field
from typing import Any

from fleet.models import Controller, Zone
from scheduling.models import Program

# A season of half a year, where only a week's water is known: common practice, no source.
WEEKS_A_YEAR = 26.0


@dataclass(frozen=True)
class Found:
    """One thing worth doing at a controller, and what it is worth.

    ``litres_week`` water it saves in a week like the coming one, ``litres_year`` in a usual year [L]; either
    may be unknown. ``risk`` 0 none, 1 plants or ground suffer now and then, 2 they do or a rule is broken.
    ``facts`` are the numbers it was found from, by name and unit.
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

    @property
    def key(self) -> str:
        """Return what it is about: the same line tomorrow has the same key."""
        letter = self.program.letter if self.program is not None else ""
        return f"{self.kind}:{letter}:{self.zone.number if self.zone is not None else ''}"
