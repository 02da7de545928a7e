"""A plan: what each zone gets and why, the programs, the night, and what stops it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from fleet.models import Zone
from scheduling.selectors.plan.asked import Asked, Overrides
from scheduling.selectors.plan.reason import Reason
from scheduling.selectors.simulate import Box, Night

HOURS, FLOW, MINUTES, STARTS, DAYS, PROGRAMS, ZONES, WEATHER = (
    "hours",
    "flow",
    "minutes",
    "starts",
    "days",
    "programs",
    "zones",
    "weather",
)


@dataclass(frozen=True)
class Effect:
    """What a plan does to a zone in the peak month, day after day without rain.

    ``over_limit_mm`` worst depletion beyond the limit [mm], ``over_limit_share`` the same as a share of it,
    ``mean_over_share`` its mean over the days; ``waste_l_week`` drained below the roots or run off [L];
    ``met`` share of its full need.
    """

    over_limit_mm: float
    over_limit_share: float
    mean_over_share: float
    waste_l_week: float
    met: float


@dataclass(frozen=True)
class ZonePlan:
    """One zone. Minutes, cycles and soak are those of one start of its program.

    ``longest_min`` is None where water never runs off; ``soak_needed_min`` the least soak after the cycle
    that is run; ``reasons`` by the name of the number; ``basis`` measured, table or assumed, by survey field.
    """

    zone: Zone
    letter: str
    interval_days: int
    need_mm_day: float
    raw_mm: float
    depth_mm: float
    minutes: float
    minutes_a_watering: float
    cycles: int
    cycle_min: float | None
    longest_min: float | None
    soak_min: float | None
    soak_needed_min: float
    weekly_l: float
    flow_l_min: float
    effect: Effect
    reasons: Mapping[str, Reason] = field(default_factory=dict)
    basis: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class RunPlan:
    """One zone in a program, as it is entered at the controller. [min]"""

    zone: Zone
    minutes: float
    cycle: float | None
    soak: float | None


@dataclass(frozen=True)
class ProgramPlan:
    """One program as it is entered at the controller, its runs in their order.

    ``takes_min`` is one start of it, first valve open to last valve shut; ``month_percents`` the share of the
    peak month's need each month has, January first, None where its weather is unknown.
    """

    letter: str
    name: str
    days: str
    longest_gap: float
    starts: Sequence[str]
    runs: Sequence[RunPlan]
    takes_min: float
    month_percents: Sequence[int | None]
    reasons: Mapping[str, Reason] = field(default_factory=dict)


@dataclass(frozen=True)
class LeftOut:
    """A zone that isn't planned, and what its survey lacks."""

    zone: Zone
    missing: Sequence[str]


@dataclass(frozen=True)
class Stop:
    """Something that keeps the plan from doing all it should: which limit, and in words."""

    binding: str
    reason: Reason
    zones: Sequence[int] = ()


@dataclass(frozen=True)
class WayOut:
    """What one change would bring, from planning anew with that alone changed."""

    key: str
    reason: Reason
    fits: bool
    binding: str | None
    overrun_min: float
    over_limit_mm: float
    over_limit_share: float
    waste_l_week: float
    weekly_l: float


@dataclass(frozen=True)
class Plan:
    """A whole controller. ``stops`` are what it can't keep, the worst first; empty where all is well."""

    asked: Asked
    overrides: Overrides
    peak_month: int | None
    zones: Sequence[ZonePlan]
    programs: Sequence[ProgramPlan]
    left_out: Sequence[LeftOut]
    night: Night | None
    box: Box
    stops: Sequence[Stop]
    ways_out: Sequence[WayOut] = ()

    @property
    def fits(self) -> bool:
        """Tell whether every limit is kept."""
        return not self.stops

    @property
    def binding(self) -> str | None:
        """Return the worst limit it doesn't keep, or None."""
        return self.stops[0].binding if self.stops else None

    @property
    def overrun_min(self) -> float:
        """Return how long its busiest night waters outside the hours allowed. [min]"""
        limits = self.night.limits if self.night else []
        return max((limit.minutes for limit in limits), default=0.0)

    @property
    def over_limit_mm(self) -> float:
        """Return the worst depletion of any zone beyond its limit. [mm]"""
        return max((one.effect.over_limit_mm for one in self.zones), default=0.0)

    @property
    def over_limit_share(self) -> float:
        """Return the same as a share of the limit."""
        return max((one.effect.over_limit_share for one in self.zones), default=0.0)

    @property
    def waste_l_week(self) -> float:
        """Return what drains below the roots or runs off. [L]"""
        return sum(one.effect.waste_l_week for one in self.zones)

    @property
    def weekly_l(self) -> float:
        """Return the water of a week in the peak month. [L]"""
        return sum(one.weekly_l for one in self.zones)
