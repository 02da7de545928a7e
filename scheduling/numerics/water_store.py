"""The root zones of a block of zones as stores of water, changed in place, every loss on its account."""

import numpy as np

from fleet.numerics.ranges import Floats
from scheduling.numerics.soil_water import draw_et, stress_slope


class WaterStore:
    """Water left, ``TAW - D``, of each zone in a block, with running sums. All [mm] but for the days."""

    def __init__(self, *, taw_mm: Floats, raw_mm: Floats, depletion_mm: Floats) -> None:
        self._taw = taw_mm
        self._slope = stress_slope(taw_mm, raw_mm)
        self._held_back_below = taw_mm - raw_mm
        self._water = np.maximum(taw_mm - depletion_mm, 0.0)
        self._scratch = np.empty_like(self._water)
        self._flags = np.empty(self._water.shape, dtype=bool)
        self.irrigation, self.rain, self.et, self.full_et = (np.zeros_like(self._water) for _ in range(4))
        self.drained_irrigation, self.drained_rain, self.observed = (
            np.zeros_like(self._water) for _ in range(3)
        )
        self.stress_days = np.zeros(self._water.shape, dtype=np.int32)

    @property
    def depletion(self) -> Floats:
        return self._taw - self._water

    def irrigate(self, depth: Floats) -> None:
        self.irrigation += depth
        self._fill(depth, drained=self.drained_irrigation)

    def rain_on(self, depth: Floats) -> None:
        self.rain += depth
        self._fill(depth, drained=self.drained_rain)

    def draw(self, et: Floats) -> None:
        """Take a day's landscape ET, and count the day where it is held back."""
        np.less(self._water, self._held_back_below, out=self._flags)
        self.stress_days += self._flags
        self.full_et += et
        self.et += draw_et(self._water, et, slope=self._slope, scratch=self._scratch)

    def observe(self, zone: int, depletion: float) -> None:
        """Replace the computed depletion of one zone by one seen in the soil."""
        seen = self._taw[zone] - min(max(depletion, 0.0), self._taw[zone])
        self.observed[zone] += self._water[zone] - seen
        self._water[zone] = seen

    def _fill(self, depth: Floats, *, drained: Floats) -> None:
        self._water += depth
        np.subtract(self._water, self._taw, out=self._scratch)
        np.maximum(self._scratch, 0.0, out=self._scratch)
        drained += self._scratch
        np.minimum(self._water, self._taw, out=self._water)
