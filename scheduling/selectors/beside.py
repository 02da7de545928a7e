"""What the controllers on one water source do in the nights to come, each night worked out once."""

from collections.abc import Sequence
from datetime import date, timedelta
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from scheduling.numerics.placing import flow_by_minute
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.simulate import Box, Event, simulate

NIGHT_MINUTES = 1440
NIGHTS_AHEAD = 28


class Beside:
    """Controllers beside one that is planned or arranged: what they open in a night, and the flow they take.

    Parameters
    ----------
    boxes
        The controllers, each with the programs it holds.
    clock
        The first night.
    """

    def __init__(self, boxes: Sequence[Box], clock: NightClock) -> None:
        self.boxes, self.clock = boxes, clock
        self._events: dict[date, list[Event]] = {}

    def events(self, clock: NightClock) -> list[Event]:
        """Return what they open in a night, in the order of time."""
        if clock.night not in self._events:
            self._events[clock.night] = simulate(self.boxes, clock=clock, supply_l_min=None).events
        return self._events[clock.night]

    @cached_property
    def taken(self) -> NDArray[np.float64]:
        """Return the largest flow they take in each minute of any night; no clock changes. [L/min]"""
        most = np.zeros(NIGHT_MINUTES)
        for night in nights_unlike(self.boxes, usual_night(self.clock)):
            spans = [
                (night.minute_of(e.start), min(night.minute_of(e.end), NIGHT_MINUTES), e.flow_l_min or 0.0)
                for e in self.events(night)
            ]
            spans = [span for span in spans if span[1] > span[0]]
            np.maximum(most, flow_by_minute(spans, minutes=NIGHT_MINUTES), out=most)
        return most


def usual_night(clock: NightClock) -> NightClock:
    """Return the first night from this one on in which no clock is changed."""
    while clock.minutes != NIGHT_MINUTES:
        clock = NightClock(clock.night + timedelta(days=1), clock.timezone)
    return clock


def nights_unlike(boxes: Sequence[Box], clock: NightClock) -> list[NightClock]:
    """Return one night for each set of starts that some controllers begin together in four weeks."""
    found: dict[tuple[bool, ...], NightClock] = {}
    for n in range(NIGHTS_AHEAD):
        night = NightClock(clock.night + timedelta(days=n), clock.timezone)
        if night.minutes != NIGHT_MINUTES:
            continue
        key = tuple(
            entry.program.waters_on(night.day_of(at))
            for box in boxes
            for entry in box.entries
            for at in entry.program.start_times()
        )
        found.setdefault(key, night)
    return [night for key, night in found.items() if any(key)]
