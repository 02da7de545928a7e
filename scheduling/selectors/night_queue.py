"""One night of a controller's programs, one after another, against the hours its rule leaves; on arrays."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from functools import lru_cache
from math import inf

import numpy as np
from numpy.typing import NDArray

from fleet.models import Site
from fleet.selectors.site_rule import hours_of, rule_of
from scheduling.selectors.hours import Span, spans_in, watering_over
from scheduling.selectors.night_clock import NightClock

Floats = NDArray[np.float64]
Heads = Mapping[int, frozenset[str]]

NOON_MIN = 12 * 60
NIGHT_MIN = 24 * 60
TOO_SHORT_TO_TELL = 1e-6


@dataclass(frozen=True)
class Fit:
    """How the tightest of some nights turns out, by candidate: (P,) or (1,).

    ``past`` are the minutes watered beyond what the rule allows, 0 or less where it fits; ``ends`` is when
    that night's watering must be over and ``free`` when its last valve shuts, in minutes after noon.
    """

    past: Floats
    ends: float
    free: Floats

    @property
    def fits(self) -> NDArray[np.bool_]:
        """Tell which candidates fit."""
        return np.asarray(self.past <= TOO_SHORT_TO_TELL)

    @property
    def over(self) -> Floats:
        """Return when the night is over, in minutes after noon; 0 where nothing waters."""
        return np.asarray(np.maximum(self.past + self.ends, 0.0))


@dataclass(frozen=True)
class NightHours:
    """What the clock and the rule make of one night; equal ones are looked at once."""

    spans: tuple[Span, ...]
    jumps: date | None  # the night itself, where it is longer or shorter than others
    exempt: frozenset[str]


def minutes_into_night(at: time) -> int:
    """Return the minutes from noon to a time of day, 0 to 1439, where the clock doesn't jump."""
    return (at.hour * 60 + at.minute - NOON_MIN) % NIGHT_MIN


def night_hours(site: Site, night: date) -> NightHours:
    """Return what the clock and a site's rule make of a night."""
    rule = rule_of(site, night)
    spans = spans_in(hours_of(rule), night, site.timezone)
    exempt = frozenset(rule.exempt_heads.split()) if rule is not None else frozenset()
    return NightHours(spans, night if _night_minutes(night, site.timezone) != NIGHT_MIN else None, exempt)


def one_night(
    starts: Mapping[int, Sequence[time]],
    took: Mapping[int, Floats],
    hours: NightHours,
    site: Site,
    heads: Heads,
) -> Fit:
    """Return how a night turns out.

    Parameters
    ----------
    starts
        When each program that waters in it starts, by its place.
    took
        Minutes one start of each takes, (P,) or (1,).
    hours
        What the clock and the rule make of the night.
    site
        Where it is.
    heads
        What each program waters with; one that waters with nothing but what the rule leaves alone runs until
        noon.
    """
    queue = sorted(
        (_minute(at, hours.jumps, site.timezone), place) for place, times in starts.items() for at in times
    )
    noon = _night_minutes(hours.jumps, site.timezone) if hours.jumps else float(NIGHT_MIN)
    free: Floats = np.zeros(1)
    past, binding = np.full(1, -inf), noon
    for at, place in queue:
        runs = took[place] > 0
        free = np.where(runs, np.maximum(free, at) + took[place], free)
        alone = bool(heads.get(place)) and heads[place] <= hours.exempt
        ends = noon if alone else watering_over(hours.spans, at)
        own = np.where(runs, free - ends, -inf)
        binding = ends if own.flat[-1] > past.flat[-1] else binding
        past = np.maximum(past, own)
    return Fit(past, binding, free)


@lru_cache(maxsize=4096)
def _night_minutes(night: date, timezone: str) -> float:
    return NightClock(night, timezone).minutes


@lru_cache(maxsize=4096)
def _minute(at: time, jumps: date | None, timezone: str) -> float:
    if jumps is None:
        return float(minutes_into_night(at))
    clock = NightClock(jumps, timezone)
    return clock.minute_of(clock.start(at))
