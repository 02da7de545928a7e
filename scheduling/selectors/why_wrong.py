"""What a decision would have done to one zone if what was believed of it was wrong by a stated amount."""

from dataclasses import dataclass, replace

from scheduling.numerics.soil_water import one_day
from scheduling.selectors.replay.unknowns import EFFICIENCY, SMALLER
from scheduling.selectors.why import Seen
from scheduling.selectors.why_zone import Course, ZoneSeen

ROUNDING = 1e-6


@dataclass(frozen=True)
class IfWrong:
    """One thing taken wrong: share of the need met over the days ahead [-], days on which growth slows."""

    name: str
    met: float
    slow_days: int


def if_wrong(seen: Seen, zone: ZoneSeen) -> list[IfWrong]:
    """Return how a zone fares under a decided percent or skip: as believed, then with each error in turn.

    ``efficiency`` the share of the water believed that reaches the roots, ``soil`` holding so much of what
    was believed, ``start`` the soil drawn to where stress begins on the first day.
    """
    course = seen.course()
    less_soil = replace(
        zone,
        taw_mm=SMALLER * zone.taw_mm,
        raw_mm=SMALLER * zone.raw_mm,
        start_mm=min(zone.start_mm, SMALLER * zone.taw_mm),
    )
    drier = replace(zone, start_mm=max(zone.start_mm, zone.raw_mm))
    return [
        _fares("believed", seen, zone, course),
        _fares("efficiency", seen, zone, course, reaches=EFFICIENCY),
        _fares("soil", seen, less_soil, course),
        _fares("start", seen, drier, course),
    ]


def _fares(name: str, seen: Seen, zone: ZoneSeen, course: Course, *, reaches: float = 1.0) -> IfWrong:
    depletion, had, slow = zone.start_mm, 0.0, 0
    for day, et in enumerate(zone.et_mm):
        passed = one_day(
            depletion,
            irrigation_mm=reaches * course.water(zone, day),
            rain_mm=seen.days[day].rain_effective_mm if day < len(seen.days) else 0.0,
            et_mm=et,
            taw_mm=zone.taw_mm,
            raw_mm=zone.raw_mm,
        )
        depletion = float(passed.depletion_mm)
        had += float(passed.et_mm)
        slow += float(passed.et_mm) < et - ROUNDING
    full = sum(zone.et_mm)
    return IfWrong(name, had / full if full > 0 else 1.0, slow)
