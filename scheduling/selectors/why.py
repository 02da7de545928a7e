"""One change with everything its decision was made from, read back from what was stored with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import QuerySet

from scheduling.models import Change, ChangeEvent
from scheduling.selectors.changes import RELATIONS
from scheduling.selectors.why_zone import Course, ZoneSeen, trace


@dataclass(frozen=True)
class DaySeen:
    """One day of the horizon as it was known. Depths in mm."""

    date: date
    et0_mm: float
    rain_mm: float
    rain_effective_mm: float
    kind: str


@dataclass(frozen=True)
class Point:
    """What one percent would do."""

    percent: int
    stress: float
    allowed: bool
    fits: bool = True

    @property
    def refused(self) -> str:
        """Say why it could not be chosen, nothing where it could."""
        if self.allowed:
            return ""
        return "outside the policy" if self.fits else "no room"


@dataclass(frozen=True)
class Fate:
    """How one zone fares: depletion at the end of each day if kept and if changed. [mm]"""

    zone: ZoneSeen
    keep: Sequence[float]
    change: Sequence[float]


@dataclass(frozen=True)
class Seen:
    """The stored inputs of a decision, read."""

    stored: dict[str, Any]
    days: Sequence[DaySeen]
    zones: Sequence[ZoneSeen]
    curve: Sequence[Point]
    deciding: ZoneSeen | None

    @property
    def on(self) -> date | None:
        """Return the morning of the decision."""
        return date.fromisoformat(self.stored["on"]) if self.stored.get("on") else None

    @property
    def margin(self) -> float:
        """Return the share of the dry limit that zones are held to."""
        return float(self.stored.get("margin", 0.9))

    @property
    def window(self) -> range:
        """Return the days the percent was judged on, as places in ``days``."""
        last = int(self.stored.get("last_day", len(self.days) - 1))
        return range(int(self.stored.get("first_day", 0)), min(last, len(self.days) - 1) + 1)

    @property
    def skipped_days(self) -> frozenset[int]:
        """Return the days a skip takes the water from: the morning after its night."""
        skip = self.stored.get("skip") or {}
        if not skip.get("night") or not self.days:
            return frozenset()
        first = date.fromisoformat(skip["night"])
        last = date.fromisoformat(skip.get("last_night") or skip["night"])
        lands = first + timedelta(days=1)
        begins = (lands - self.days[0].date).days
        return frozenset(range(begins, begins + (last - first).days + 1))

    def index_of(self, percent: int | None) -> int | None:
        """Return the place of a percent among those tried, or None."""
        percents = self.stored.get("percents") or []
        return percents.index(percent) if percent in percents else None

    def zone(self, pk: int | None) -> ZoneSeen | None:
        """Return the zone asked for, else the deciding one."""
        return next((zone for zone in self.zones if zone.pk == pk), self.deciding)

    def fate(self, zone: ZoneSeen) -> Fate:
        """Return how a zone fares: as stored where it was, else computed the same way."""
        stored = (self.stored.get("traces") or {}).get(str(zone.pk))
        if stored is None and zone is self.deciding:
            stored = self.stored.get("trace")
        if stored and stored.get("keep") and stored.get("change"):
            return Fate(zone, keep=stored["keep"], change=stored["change"])
        rain = [day.rain_effective_mm for day in self.days]
        return Fate(zone, keep=trace(zone, rain, Course()), change=trace(zone, rain, self.course()))

    def course(self) -> Course:
        """Return what was proposed: a percent from its first day on, or the water of a night left out."""
        if self.stored.get("skip"):
            return Course(without=self.skipped_days)
        return Course(index=self.index_of(self.stored.get("proposed")), from_day=self.window.start)


def read_inputs(stored: dict[str, Any]) -> Seen:
    """Read the stored inputs of a change; an empty or older one gives what it has."""
    zones = [ZoneSeen.read(unit) for unit in stored.get("units") or []]
    deciding = next((z for z in zones if z.pk == stored.get("deciding")), zones[0] if zones else None)
    return Seen(
        stored=stored,
        days=[_day(day) for day in stored.get("days") or []],
        zones=zones,
        curve=_curve(stored),
        deciding=deciding,
    )


def change_with_inputs(user: Any, company_id: int) -> QuerySet[Change]:
    """Return the changes a person may see of one company, inputs and all."""
    return Change.objects.visible_to(user).of_company(company_id).select_related(*RELATIONS, "run")


def history(change: Change) -> list[ChangeEvent]:
    """Return every step in a change's life with who took it, oldest first."""
    return list(change.events.select_related("by"))


def _day(stored: dict[str, Any]) -> DaySeen:
    return DaySeen(
        date=date.fromisoformat(stored["date"]),
        et0_mm=float(stored.get("et0_mm") or 0.0),
        rain_mm=float(stored.get("rain_mm") or 0.0),
        rain_effective_mm=float(stored.get("rain_effective_mm") or 0.0),
        kind=str(stored.get("kind", "")),
    )


def _curve(stored: dict[str, Any]) -> list[Point]:
    percents, stress = stored.get("percents") or [], stored.get("stress") or []
    allowed = stored.get("allowed") or [True] * len(percents)
    fits = stored.get("fits") or allowed
    return [
        Point(percent=int(p), stress=float(s), allowed=bool(a), fits=bool(f))
        for p, s, a, f in zip(percents, stress, allowed, fits, strict=False)
        if s is not None
    ]
