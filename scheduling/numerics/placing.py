"""Starts of programs in one night: one after another, within the hours, in what flow others leave."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice, pairwise, permutations
from math import ceil, inf

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Span = tuple[float, float]
MOST_SEQUENCES = 24  # of programs: all of four


@dataclass(frozen=True)
class Piece:
    """A program: flow of one start in each minute [L/min], how often it starts, and how far apart at least.

    ``apart`` from one start to the next [min]; ``meets`` the places of programs that water in the same night;
    ``fixed`` starts that stay where they are, in minutes after the night begins.
    """

    flow: Floats
    starts: int = 1
    apart: float = 0.0
    meets: frozenset[int] = field(default_factory=frozenset)
    fixed: tuple[int, ...] | None = None

    @property
    def minutes(self) -> int:
        """Return the whole minutes one start takes."""
        return len(self.flow)


def flow_by_minute(spans: Sequence[tuple[float, float, float]], *, minutes: int | None = None) -> Floats:
    """Return the largest flow in each minute.

    Parameters
    ----------
    spans
        ``(start, end, flow)`` of each opening, from 0. [min, min, L/min]
    minutes
        How many; without it to the end of the last opening.
    """
    last = max((end for _, end, _ in spans), default=0.0)
    grid = np.zeros(ceil(last - 1e-6) if minutes is None else minutes)
    edges = sorted({edge for start, end, _ in spans for edge in (start, end)})
    for begin, end in pairwise(edges):
        if end - begin < 1e-6:
            continue
        now = sum(flow for first, last, flow in spans if first <= begin + 1e-9 and last >= end - 1e-9)
        part = grid[int(begin + 1e-6) : ceil(end - 1e-6)]
        np.maximum(part, now, out=part)
    return grid


def place(
    pieces: Sequence[Piece],
    *,
    allowed: Sequence[Span],
    end_by: float,
    taken: Floats,
    supply: float = inf,
) -> list[list[int]] | None:
    """Return the starts of every program, in minutes after the night begins, or None if they don't go in.

    Programs end by ``end_by`` and as late as that allows. Sequences are tried in turn, and the one with the
    least time from first valve to last is taken; of equals, the one nearest to the order given.

    Parameters
    ----------
    pieces
        Those of one controller, which never run together.
    allowed
        Spans of the night in which watering is allowed. [min]
    end_by
        When watering should be over. [min]
    taken
        Flow that others take in each minute of the night. [L/min]
    supply
        What the source gives. [L/min]
    """
    room = _Room(allowed, end_by, taken, supply)
    begins = [room.begins(piece) for piece in pieces]
    shortest = sum(piece.minutes * piece.starts for piece in pieces)
    best: tuple[float, list[list[int]]] | None = None
    for turns in _turns(pieces):
        starts = _placed(pieces, turns, begins)
        if starts is None:
            continue
        takes = _last_end(pieces, starts) - min((min(own) for own in starts if own), default=0)
        if best is None or takes < best[0]:
            best = takes, starts
        if best[0] <= shortest:
            break
    return best[1] if best else None


@dataclass(frozen=True)
class _Room:
    allowed: Sequence[Span]
    end_by: float
    taken: Floats
    supply: float

    def begins(self, piece: Piece) -> NDArray[np.bool_]:
        """Tell for every minute whether hours and flow would let a start of a program begin then."""
        length, size = max(piece.minutes, 1), len(self.taken)
        if length > size:
            return np.zeros(0, dtype=bool)
        free = np.zeros(size - length + 1, dtype=bool)
        for begin, end in self.allowed:
            last = int(min(end, self.end_by) + 1e-6) - length
            free[ceil(begin - 1e-6) : max(last + 1, 0)] = True
        if np.isfinite(self.supply) and piece.minutes and free.any():
            at = np.flatnonzero(free)
            windows = np.lib.stride_tricks.sliding_window_view(self.taken, length)[at]
            free[at] = ((windows + piece.flow).max(axis=1)) <= self.supply * (1 + 1e-9)
        return free


def _turns(pieces: Sequence[Piece]) -> Iterator[list[int]]:
    """Yield sequences in which starts are put in, the last ones first, each as the place of its program.

    Program by program and, where some start several times, also in turns, so that the starts of one fall
    between those of another.
    """
    wanted = [n for n in range(len(pieces) - 1, -1, -1) if pieces[n].fixed is None]
    sequences = list(islice(permutations(wanted), MOST_SEQUENCES))
    yield from ([n for n in one for _ in range(pieces[n].starts)] for one in sequences)
    rounds = max((pieces[n].starts for n in wanted), default=1)
    if rounds > 1 and len(wanted) > 1:
        for one in sequences:
            yield [n for left in range(rounds) for n in one if pieces[n].starts > left]
            yield [n for left in range(rounds, 0, -1) for n in one if pieces[n].starts >= left]


def _placed(
    pieces: Sequence[Piece], turns: Sequence[int], begins: Sequence[NDArray[np.bool_]]
) -> list[list[int]] | None:
    starts: list[list[int]] = [sorted(piece.fixed or ()) for piece in pieces]
    for n in turns:
        piece, fits = pieces[n], begins[n].copy()
        for m in piece.meets:
            for at in starts[m] if pieces[m].minutes else ():
                fits[max(0, at - max(piece.minutes, 1) + 1) : at + pieces[m].minutes] = False
        free = np.flatnonzero(fits)
        if starts[n]:
            free = free[free <= starts[n][0] - max(ceil(piece.apart - 1e-6), piece.minutes)]
        if not free.size:
            return None
        starts[n].insert(0, int(free[-1]))
    return starts


def _last_end(pieces: Sequence[Piece], starts: Sequence[Sequence[int]]) -> int:
    return max((own[-1] + piece.minutes for piece, own in zip(pieces, starts, strict=True) if own), default=0)
