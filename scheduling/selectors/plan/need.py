"""What each zone needs in the peak month, and what its soil and heads allow."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from fleet.models import Zone
from fleet.selectors.site_rule import exempt
from scheduling.numerics.base_schedule import interval_days
from scheduling.numerics.gross_to_net import Application, longest_cycle_min
from scheduling.season.survey import Survey, missing_of, survey_arrays
from scheduling.selectors.plan.asked import Asked
from scheduling.selectors.plan.result import LeftOut
from scheduling.selectors.simulate import flow_of

Floats = NDArray[np.float64]
LEAST_NEED_MM_DAY = 0.05  # below it a month counts as one without need


@dataclass(frozen=True)
class Needs:
    """Zones whose survey is complete, in the order of their numbers, one value each unless said otherwise.

    ``monthly_mm_day`` (12, zones), NaN where the month's weather is unknown; ``peak`` the month, from 0, in
    which they need most together; ``intervals`` how long the soil lasts then, no longer than what the rule
    lets a zone have on one day [d]; ``longest_min`` before water runs off, infinite where it never does,
    ``day_min`` what the rule lets it have a day, infinite where it sets none [min].
    """

    zones: Sequence[Zone]
    left_out: Sequence[LeftOut]
    survey: Survey
    monthly_mm_day: Floats
    peak: int
    intervals: Floats
    longest_min: Floats
    flow_l_min: Floats
    day_min: Floats

    @property
    def mm_day(self) -> Floats:
        """Return the need of the peak month. [mm/d]"""
        peak: Floats = self.monthly_mm_day[self.peak]
        return peak

    def water(self, name: str, place: int) -> float:
        """Return one value of how water comes down on a zone and goes in."""
        return float(np.asarray(getattr(self.survey.application, name))[place])

    def application(self, places: Sequence[int] | slice = slice(None)) -> Application:
        """Return how water comes down and goes in, of some zones."""
        whole = self.survey.application
        return Application(*(np.asarray(getattr(whole, name))[places] for name in whole.__slots__))


def weather_known(asked: Asked) -> bool:
    """Tell whether any month's reference ET is known and above zero."""
    return any(et is not None and et > 0 for et in asked.et_mm_day)


def complete_zones(asked: Asked) -> tuple[list[Zone], list[LeftOut]]:
    """Return the zones whose survey lacks nothing, by number, and those left out."""
    ordered = sorted(asked.zones, key=lambda zone: zone.number)
    lacking = {zone.number: missing_of(zone) for zone in ordered}
    whole = [zone for zone in ordered if not lacking[zone.number]]
    return whole, [LeftOut(zone, lacking[zone.number]) for zone in ordered if lacking[zone.number]]


def needs_of(asked: Asked) -> Needs:
    """Return what the complete zones need; there must be one, and weather for a month."""
    zones, left_out = complete_zones(asked)
    survey = survey_arrays(
        zones, southern=[asked.southern] * len(zones), boundary=[asked.boundary] * len(zones)
    )
    et = np.array([np.nan if value is None else value for value in asked.et_mm_day], dtype=np.float64)
    trims = np.array([asked.trims.get(zone.number, 1.0) for zone in zones])
    monthly = np.maximum(et[:, np.newaxis] * survey.kl * trims, LEAST_NEED_MM_DAY)
    peak = int(np.nanargmax((monthly * survey.area_m2).sum(axis=1)))
    a = survey.application
    day_min = np.array([most_a_day(asked, zone) for zone in zones], dtype=np.float64)
    return Needs(
        zones=zones,
        left_out=left_out,
        survey=survey,
        monthly_mm_day=monthly,
        peak=peak,
        intervals=interval_days(np.minimum(survey.raw_mm, _depth_a_day(a, day_min)), monthly[peak]),
        longest_min=longest_cycle_min(
            a.rate_mm_h,
            intake_mm_h=a.intake_mm_h,
            accumulation_mm=a.accumulation_mm,
            ground_share=a.ground_share,
        ),
        flow_l_min=np.array([flow_of(zone) or 0.0 for zone in zones]),
        day_min=day_min,
    )


def most_a_day(asked: Asked, zone: Zone) -> float:
    """Return the minutes the rule lets a zone have a day, infinite where it sets none."""
    most = asked.rule.zone_minutes if asked.rule is not None else None
    return inf if most is None or exempt(asked.rule, zone) else float(most)


def _depth_a_day(a: Application, minutes: Floats) -> Floats:
    """Return the net depth that so many minutes give, runoff aside. [mm]"""
    return np.asarray(minutes * np.asarray(a.rate_mm_h) * a.ground_share * a.usable_share / 60.0)
