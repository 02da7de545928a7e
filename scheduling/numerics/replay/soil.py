"""The soil of the zones of a replay, from one day to the next, under water that was decided elsewhere."""

import typing

import numpy as np
from numpy.typing import NDArray

from fleet.numerics.ranges import Floats, within
from scheduling.numerics.gross_to_net import net_depth
from scheduling.numerics.replay.landscape import Landscape
from scheduling.numerics.soil_water import one_day
from scheduling.numerics.units import Indices

if typing.TYPE_CHECKING:
    from scheduling.numerics.replay.days import Lived, Weather

Ints = NDArray[np.integer]


class Soil:
    """The soil of every zone, from one day to the next."""

    def __init__(
        self, landscape: Landscape, weather: "Weather", start_mm: Floats, *, rain_share: float
    ) -> None:
        start = within("start_depletion_mm", start_mm)
        self.depletion_mm = np.minimum(start, landscape.ground.taw_mm)
        self._landscape, self._weather, self._rain_share = landscape, weather, rain_share
        self._group_of_run = landscape.group_of_program[landscape.runs.program]
        self._each = np.arange(len(landscape.runs.zone))
        self._runoff = _runoff(landscape)

    def net(self, landed: Ints, row: Indices) -> Floats:
        """Return the net depth on each zone of starts by program, at rows of the percents by group. [mm]"""
        return self._by_zone(self._landscape.depths.net_mm, landed, row)

    def pass_day(
        self, day: int, landed: Ints, row: Indices, *, trim: Floats | None = None, book: "Lived | None" = None
    ) -> tuple[Floats, Floats]:
        """Let the night's water land, rain fall and plants draw; write it down if there is a book.

        Returns the ET plants had and their full ET, (zones,). [mm]
        """
        ground, weather = self._landscape.ground, self._weather
        net = self.net(landed, row)
        rain = (self._rain_share * weather.rain_mm[day])[ground.cell]
        full = weather.et_mm[day][ground.cell] * ground.kl[weather.month[day] - 1]
        if trim is not None:
            full = full * trim
        done = one_day(
            self.depletion_mm,
            irrigation_mm=net,
            rain_mm=rain,
            et_mm=full,
            taw_mm=ground.taw_mm,
            raw_mm=ground.raw_mm,
        )
        self.depletion_mm = done.depletion_mm
        if book is None:
            return done.et_mm, full
        book.gross_mm[day] = self._by_zone(self._landscape.depths.gross_mm, landed, row)
        book.runoff_mm[day] = self._by_zone(self._runoff, landed, row)
        book.net_mm[day], book.rain_mm[day] = net, rain
        book.full_et_mm[day], book.et_mm[day] = full, done.et_mm
        book.drained_irrigation_mm[day] = done.drained_irrigation_mm
        book.drained_rain_mm[day] = done.drained_rain_mm
        book.depletion_mm[day] = done.depletion_mm
        return done.et_mm, full

    def _by_zone(self, depth_mm: Floats, landed: Ints, row: Indices) -> Floats:
        runs = self._landscape.runs
        of_run = landed[runs.program] * depth_mm[row[self._group_of_run], self._each]
        return np.bincount(runs.zone, weights=of_run, minlength=self._landscape.zones).astype(np.float64)


def et_as_decided(
    landscape: Landscape,
    lived: "Lived",
    *,
    starts: Ints,
    weather: "Weather",
    start_depletion_mm: Floats,
    rain_share: float,
) -> tuple[Floats, Floats]:
    """Return the ET plants had, and would have had with water enough, where the ground is another one.

    Parameters
    ----------
    landscape : Landscape
        The zones as they really are.
    lived : Lived
        What was decided, on what was believed.
    starts, weather
        As in ``days.live_through``.
    start_depletion_mm : ndarray, shape (zones,)
        Real depletion before the first day. [mm]
    rain_share : float
        Share of the rain that reaches the roots. [-]

    Returns
    -------
    tuple of ndarray, shape (days, zones)
        ET had and full ET. [mm]
    """
    soil = Soil(landscape, weather, start_depletion_mm, rain_share=rain_share)
    had, full = np.zeros_like(lived.et_mm), np.zeros_like(lived.et_mm)
    row = np.zeros(landscape.groups, dtype=np.intp)
    for day, rows in enumerate(lived.row_of_program):
        landed = np.where(rows >= 0, starts[day], 0)
        row[landscape.group_of_program[rows >= 0]] = rows[rows >= 0]
        had[day], full[day] = soil.pass_day(day, landed, row)
    return had, full


def _runoff(landscape: Landscape) -> Floats:
    """Return what runs off in one start of every run at every percent, (P, runs). [mm]"""
    runs = landscape.runs
    return net_depth(
        landscape.depths.minutes, runs.application, cycle_min=runs.cycle_min, soak_min=runs.soak_min
    ).runoff_mm
