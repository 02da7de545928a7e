"""What a plan is made from: rows, stored or not, the weather of a usual year, what is overruled."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from fleet.models import Controller, WateringRule, Zone
from scheduling.selectors.beside import Beside
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.simulate import Box

NOBODY = Beside((), NightClock(date.min, "UTC"))


@dataclass(frozen=True)
class ZoneOverride:
    """What a person wants for one zone instead of what is planned; None leaves it as planned.

    ``minutes`` of one start, ``cycle`` longest cycle, ``soak`` between two. [min]
    """

    program: str | None = None
    minutes: float | None = None
    cycle: float | None = None
    soak: float | None = None


@dataclass(frozen=True)
class ProgramOverride:
    """Watering days, as ``Program.days`` writes them, and starts as HH:MM, instead of those planned."""

    days: str | None = None
    starts: tuple[str, ...] | None = None


@dataclass(frozen=True)
class Overrides:
    """What is overruled: by the number of a zone and the letter of a program.

    ``peak_et_mm_day`` is the reference ET of a day in the hottest month, where no usual year is known [mm/d].
    """

    zones: Mapping[int, ZoneOverride] = field(default_factory=dict)
    programs: Mapping[str, ProgramOverride] = field(default_factory=dict)
    peak_et_mm_day: float | None = None

    def __bool__(self) -> bool:
        return bool(self.zones or self.programs)


@dataclass(frozen=True)
class Asked:
    """A controller to plan for. Rows may be stored or not; zones are told apart by their numbers.

    ``clock`` is the first night the plan could run; ``et_mm_day`` the reference ET of an average day of each
    month, January first, None where nobody knows it [mm/d]; ``supply_l_min`` what its water source gives, and
    ``others`` the controllers that share it, each with the programs it holds; ``boundary`` the company's
    share b of the extra water for uneven heads, 0 to 1; ``trims`` lasting corrections of a zone's need;
    ``need_met`` share of the need the plan is to meet, above 0 to 1; ``beside`` what the others do, which
    needn't be said.
    """

    controller: Controller
    zones: Sequence[Zone]
    clock: NightClock
    et_mm_day: Sequence[float | None]
    rule: WateringRule | None = None
    supply_l_min: float | None = None
    others: Sequence[Box] = ()
    boundary: float = 1.0
    southern: bool = False
    trims: Mapping[int, float] = field(default_factory=dict)
    need_met: float = 1.0
    beside: Beside = field(default=NOBODY, compare=False, repr=False)

    def __post_init__(self) -> None:
        """Keep what the others do from plan to plan, as long as it is they and from the same night."""
        if self.beside.boxes is not self.others or self.beside.clock != self.clock:
            object.__setattr__(self, "beside", Beside(self.others, self.clock))
