"""What this contractor once entered as run times: the peak month's need, and a person's rounding.

The usual base schedule: depth for the days between two waterings, never above what the roots can hold,
divided by rate and evenness. Then up to 15 percent of human error, the same at every load.
"""

import math
import random
from dataclasses import dataclass

from fleet.models import Controller, Zone
from fleet.models.rules import WEEKDAYS
from fleet.numerics.plants import PLANTS
from fleet.numerics.soils import SOILS, allowable_accumulation
from fleet.numerics.sun import SUNS
from scheduling.numerics.base_schedule import depth_per_watering, minutes_for_depth
from scheduling.numerics.gross_to_net import longest_cycle_min, shortest_soak_min, usable_share

PEAK_MONTH = 7
PEAK_ET_MM_DAY = 7.6  # 0.30 inch: what the invented contractor reckons with in July
HUMAN_ERROR = 0.15
USUAL_SOIL = "loam"  # reckoned with where nobody looked
LEAST_CYCLE_MIN = 4
SOAK_STEP_MIN = 5
_DAYS_BETWEEN = {"daily": 1.0, "odd": 2.0, "even": 2.0}


@dataclass(frozen=True)
class Entered:
    """What stands at the controller for one zone of one program. [min]"""

    minutes: float
    cycle: float | None
    soak: float | None


def days_between(days: str) -> float:
    """Return the mean number of days from one watering to the next."""
    return _DAYS_BETWEEN.get(days) or len(WEEKDAYS) / len(days.split())


def entered(zone: Zone, controller: Controller, *, days: str, starts: int, share: float) -> Entered:
    """Return the run of a zone; ``share`` is what this program gives of the zone's whole need."""
    soil = SOILS[zone.soil or USUAL_SOIL]
    rate = zone.precipitation_rate_mm_h or 0.0
    raw = soil.capacity.value * (zone.root_depth_mm or 0.0) * zone.wetted_share * soil.depletion.value
    need = (
        PEAK_ET_MM_DAY
        * PLANTS[zone.plant].coefficient.value[PEAK_MONTH - 1]
        * SUNS[zone.sun].microclimate.value
    )
    depth = depth_per_watering(days_between(days), need, raw_mm=raw)
    exact = float(minutes_for_depth(depth, rate, efficiency=usable_share(zone.uniformity or 1.0)))
    minutes = max(LEAST_CYCLE_MIN, round(exact * share * _human(zone) / starts))
    cycle, soak = _split(zone, minutes, soil_key=zone.soil or USUAL_SOIL)
    if not controller.cycle_and_soak or cycle is None:
        return Entered(minutes, None, None)
    return Entered(minutes, cycle, soak)


def _human(zone: Zone) -> float:
    chance = random.Random(f"{zone.controller.serial_number} {zone.number}")
    return 1.0 + chance.triangular(-HUMAN_ERROR, HUMAN_ERROR)


def _split(zone: Zone, minutes: float, *, soil_key: str) -> tuple[float | None, float | None]:
    """Return longest cycle and soak where water would run off otherwise."""
    intake = SOILS[soil_key].intake_mm_h.value
    rate = zone.precipitation_rate_mm_h or 0.0
    pond = allowable_accumulation([soil_key], zone.slope_percent or 0.0)[0]
    longest = float(longest_cycle_min(rate, intake_mm_h=intake, accumulation_mm=pond))
    if minutes <= longest:
        return None, None
    cycle = max(LEAST_CYCLE_MIN, math.floor(longest))
    soak = float(shortest_soak_min(cycle, rate_mm_h=rate, intake_mm_h=intake))
    return cycle, math.ceil(soak / SOAK_STEP_MIN) * SOAK_STEP_MIN
