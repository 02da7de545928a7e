"""One zone as a decision saw it, and how its soil fares day by day if nothing or something is changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from scheduling.numerics.soil_water import one_day

WORDS = ("name", "plant", "soil", "head", "sun")
SIZES = ("area_m2", "start_mm", "taw_mm", "raw_mm", "rate_mm_h")
SHARES = ("kl", "trim", "ground_share", "usable")


@dataclass(frozen=True)
class RunSeen:
    """One program's run of a zone: waterings that land each day and what one gives, at each percent."""

    program: str
    minutes: float
    cycle: float | None
    soak: float | None
    starts: Sequence[int]
    net_mm: Sequence[float]
    gross_mm: Sequence[float]
    kept_net_mm: float
    kept_gross_mm: float
    minutes_at: Sequence[float]

    @classmethod
    def read(cls, stored: dict[str, Any]) -> RunSeen:
        """Read a run from the stored inputs."""
        return cls(
            program=str(stored.get("program", "")),
            minutes=float(stored.get("minutes") or 0.0),
            cycle=stored.get("cycle"),
            soak=stored.get("soak"),
            starts=stored.get("starts") or [],
            net_mm=stored.get("net_mm") or [],
            gross_mm=stored.get("gross_mm") or [],
            kept_net_mm=float(stored.get("kept_net_mm") or 0.0),
            kept_gross_mm=float(stored.get("kept_gross_mm") or 0.0),
            minutes_at=stored.get("minutes_at") or [],
        )

    def lands(self, day: int) -> int:
        """Return how many waterings land on a day of the horizon."""
        return self.starts[day] if day < len(self.starts) else 0

    def net_at(self, index: int | None) -> float:
        """Return what one watering gives at a percent, or as it is kept. [mm]"""
        return self.kept_net_mm if index is None or index >= len(self.net_mm) else self.net_mm[index]


@dataclass(frozen=True)
class ZoneSeen:
    """One zone with its survey, its soil and its runs, as stored with the decision. Depths in mm."""

    pk: int
    number: int
    name: str
    plant: str
    soil: str
    head: str
    sun: str
    area_m2: float
    kl: float
    trim: float
    start_mm: float
    start_settled: bool
    taw_mm: float
    raw_mm: float
    et_mm: Sequence[float]
    fixed_mm: Sequence[float]
    uniformity: float | None
    ground_share: float
    usable: float
    rate_mm_h: float
    intake_mm_h: float | None
    assumed: Sequence[str] = field(default_factory=list)
    runs: Sequence[RunSeen] = field(default_factory=list)

    @classmethod
    def read(cls, stored: dict[str, Any]) -> ZoneSeen:
        """Read a zone from the stored inputs; older ones may lack a figure."""
        read: dict[str, Any] = {name: str(stored.get(name) or "") for name in WORDS}
        read |= {name: float(stored.get(name) or 0.0) for name in SIZES}
        read |= {name: float(stored.get(name, 1.0)) for name in SHARES}
        return cls(
            pk=int(stored.get("zone", 0)),
            number=int(stored.get("number", 0)),
            start_settled=bool(stored.get("start_settled", True)),
            et_mm=stored.get("et_mm") or [],
            fixed_mm=stored.get("fixed_mm") or [],
            uniformity=stored.get("uniformity"),
            intake_mm_h=stored.get("intake_mm_h"),
            assumed=stored.get("assumed") or [],
            runs=[RunSeen.read(run) for run in stored.get("runs") or []],
            **read,
        )

    def watered(self, day: int, *, index: int | None) -> float:
        """Return the net water of a day at the percent of an index (None: as kept). [mm]"""
        fixed = self.fixed_mm[day] if day < len(self.fixed_mm) else 0.0
        return fixed + sum(run.lands(day) * run.net_at(index) for run in self.runs)


@dataclass(frozen=True)
class Course:
    """What is done: nothing (as it is), another percent from a day on, or no water on some days."""

    index: int | None = None
    from_day: int = 0
    without: frozenset[int] = frozenset()

    def water(self, zone: ZoneSeen, day: int) -> float:
        """Return the net water a zone gets on a day of the horizon. [mm]"""
        if day in self.without:
            return zone.fixed_mm[day] if day < len(zone.fixed_mm) else 0.0
        return zone.watered(day, index=self.index if day >= self.from_day else None)


def trace(zone: ZoneSeen, rain_mm: Sequence[float], course: Course) -> list[float]:
    """Return the depletion at the end of each day of the horizon. [mm]"""
    depletion, found = zone.start_mm, []
    for day, et in enumerate(zone.et_mm):
        depletion = float(
            one_day(
                depletion,
                irrigation_mm=course.water(zone, day),
                rain_mm=rain_mm[day] if day < len(rain_mm) else 0.0,
                et_mm=et,
                taw_mm=zone.taw_mm,
                raw_mm=zone.raw_mm,
            ).depletion_mm
        )
        found.append(depletion)
    return found
