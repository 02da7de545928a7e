"""Starts and orders for the programs of controllers, judged by what ``simulate`` says they do.

What may be chosen: the order of zones in a program, the order of programs, and their starts, to the minute.
What may not: minutes, longest cycles, least soaks, watering days, which zone is in which program.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from fleet.models import WateringRule
from fleet.models.rules import WEEKDAYS
from scheduling.numerics.placing import Piece, flow_by_minute, place
from scheduling.numerics.timeline import Run, one_start
from scheduling.selectors.beside import NIGHT_MINUTES, Beside, usual_night
from scheduling.selectors.hours import Span, allowed_spans
from scheduling.selectors.night_clock import NightClock

# Watering is over before the sun and the wind are up: common practice, no source.
OVER_BY = 18 * 60.0  # 06:00, in minutes after noon
MIDNIGHT = 720.0  # minutes after noon


@dataclass(frozen=True)
class Wish:
    """A program to be placed: its days, its runs in their order, their flows [L/min].

    ``starts`` how often it starts in a night, ``apart`` least time between two begins [min], ``fixed`` starts
    as HH:MM that somebody has set.
    """

    days: str
    runs: Sequence[Run]
    flows: Sequence[float]
    starts: int = 1
    apart: float = 0.0
    fixed: tuple[str, ...] | None = None


@dataclass(frozen=True)
class Room:
    """What a night leaves to a controller: spans allowed [min], flow others take by minute [L/min].

    ``one_date`` is whether the rule goes by days: water that begins on a day allowed is then best over before
    midnight.
    """

    allowed: Sequence[Span]
    taken: NDArray[np.float64]
    supply: float
    at_once: int
    one_date: bool = False

    @property
    def apart(self) -> Sequence[Span]:
        """Return the spans allowed, cut at midnight where the rule goes by days."""
        if not self.one_date:
            return self.allowed
        cut = [(begin, min(end, MIDNIGHT)) for begin, end in self.allowed if begin < MIDNIGHT]
        return cut + [(max(begin, MIDNIGHT), end) for begin, end in self.allowed if end > MIDNIGHT]

    @classmethod
    def of(
        cls,
        rule: WateringRule | None,
        clock: NightClock,
        *,
        beside: Beside,
        supply_l_min: float | None,
        at_once: int,
    ) -> "Room":
        """Return what a rule and the controllers beside this one leave."""
        return cls(
            allowed=allowed_spans(rule, usual_night(clock)),
            taken=beside.taken,
            supply=supply_l_min or float("inf"),
            at_once=at_once,
            one_date=goes_by_days(rule),
        )


def goes_by_days(rule: WateringRule | None) -> bool:
    """Tell whether a rule forbids some days."""
    if rule is None:
        return False
    few = rule.days_per_week is not None and rule.days_per_week < len(WEEKDAYS)
    return few or rule.parity != WateringRule.Parity.ANY or 0 < len(rule.weekdays.split()) < len(WEEKDAYS)


def place_all(wishes: Sequence[Wish], room: Room) -> list[tuple[str, ...]]:
    """Return the starts of every program, as HH:MM in the order of the night.

    They end before 06:00 or the end of the hours, whichever is sooner; later where there is no room before.
    Where a rule goes by days each start is over on the date it begins, if there is room for that.
    Programs that don't fit at all queue from the beginning of the hours: the night then shows the overrun.
    """
    ends = max((end for _, end in room.allowed), default=float(NIGHT_MINUTES))
    together = [_piece(wishes, n, room, beside=False) for n in range(len(wishes))]
    starts = _first_that_fits(together, room, ends)
    if starts is not None and any(at < NIGHT_MINUTES / 2 for own in starts for at in own):
        # An evening's start falls in another night than a morning's of the same date.
        beside = [_piece(wishes, n, room, beside=True) for n in range(len(wishes))]
        starts = _first_that_fits(beside, room, ends) or starts
    if starts is None:
        return _queued(wishes, room)
    return [tuple(_clock(at) for at in own) for own in starts]


def _first_that_fits(pieces: Sequence[Piece], room: Room, ends: float) -> list[list[int]] | None:
    spans = [room.apart, room.allowed] if room.one_date else [room.allowed]
    for supply, allowed in product(dict.fromkeys((room.supply, float("inf"))), spans):
        for end_by in (min(OVER_BY, ends), ends):
            starts = place(pieces, allowed=allowed, end_by=end_by, taken=room.taken, supply=supply)
            if starts is not None:
                return starts
    return None


def _piece(wishes: Sequence[Wish], n: int, room: Room, *, beside: bool) -> Piece:
    wish = wishes[n]
    openings = one_start(wish.runs, at_once=room.at_once)
    meets = frozenset(m for m in range(len(wishes)) if m != n and _meet(wish.days, wishes[m].days, beside))
    return Piece(
        flow=flow_by_minute([(o.start, o.end, wish.flows[o.run]) for o in openings]),
        starts=wish.starts,
        apart=wish.apart,
        meets=meets,
        fixed=None if wish.fixed is None else tuple(_minute(at) for at in wish.fixed),
    )


def _meet(one: str, other: str, beside: bool) -> bool:
    """Tell whether two programs share a night: watering days in common or, ``beside``, next to each other."""
    if not {one, other}.isdisjoint(("daily", "odd", "even")):
        return beside or {one, other} != {"odd", "even"}
    days, others = ([WEEKDAYS.index(day) for day in text.split()] for text in (one, other))
    near = (-1, 0, 1) if beside else (0,)
    return any((a - b) % 7 in {step % 7 for step in near} for a in days for b in others)


def _queued(wishes: Sequence[Wish], room: Room) -> list[tuple[str, ...]]:
    """Start everything one after another from the beginning of the longest span allowed."""
    begin = max(room.allowed, key=lambda span: span[1] - span[0], default=(0.0, 0.0))[0]
    at, found = begin, []
    for n, wish in enumerate(wishes):
        piece = _piece(wishes, n, room, beside=True)
        starts = []
        for left in range(wish.starts, 0, -1):
            starts.append(min(at, NIGHT_MINUTES - left))  # past the night's end they crowd before it
            at += max(piece.minutes, wish.apart if wish.starts > 1 else 0.0)
        found.append(wish.fixed or tuple(dict.fromkeys(_clock(start) for start in starts)))
    return found


def _clock(minute: float) -> str:
    hours, minutes = divmod((int(minute) + 720) % NIGHT_MINUTES, 60)
    return f"{hours:02}:{minutes:02}"


def _minute(at: str) -> int:
    return (int(at[:2]) * 60 + int(at[3:]) - 720) % NIGHT_MINUTES
