"""Starts of programs in one night: one after another, within the hours, in what flow others leave."""

from collections.abc import Sequence
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

    Programs end by ``end_by`` and as late as that allows. Sequences are tried in turn, and the one whose
    first valve opens last is taken; of equals, the one nearest to the order given.

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
    at_best = -sum(piece.minutes * piece.starts for piece in pieces)
    best: tuple[float, list[list[int]]] | None = None
    for sequence in islice(permutations(range(len(pieces) - 1, -1, -1)), MOST_SEQUENCES):
        starts = _placed(pieces, sequence, room)
        if starts is None:
            continue
        length = min((min(own) for own in starts if own), default=0) - _last_end(pieces, starts)
        if best is None or length > best[0]:
            best = length, starts
        if best[0] >= at_best:
            break
    return best[1] if best else None


@dataclass(frozen=True)
class _Room:
    allowed: Sequence[Span]
    end_by: float
    taken: Floats
    supply: float

    def fits(self, piece: Piece, busy: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Tell for every minute of the night whether a start of a program could begin then."""
        length, size = max(piece.minutes, 1), len(self.taken)
        if length > size:
            return np.zeros(0, dtype=bool)
        free = np.zeros(size - length + 1, dtype=bool)
        for begin, end in self.allowed:
            last = int(min(end, self.end_by) + 1e-6) - length
            free[ceil(begin - 1e-6) : max(last + 1, 0)] = True
        used = np.concatenate([[0], np.cumsum(busy)])
        free &= used[length:] == used[: len(used) - length]
        if np.isfinite(self.supply) and piece.minutes and free.any():
            at = np.flatnonzero(free)
            windows = np.lib.stride_tricks.sliding_window_view(self.taken, length)[at]
            free[at] = ((windows + piece.flow).max(axis=1)) <= self.supply * (1 + 1e-9)
        return free


def _placed(pieces: Sequence[Piece], sequence: Sequence[int], room: _Room) -> list[list[int]] | None:
    starts: list[list[int]] = [sorted(piece.fixed or ()) for piece in pieces]
    for n in sequence:
        if pieces[n].fixed is not None:
            continue
        piece, busy = pieces[n], np.zeros(len(room.taken), dtype=bool)
        for m in piece.meets:
            for at in starts[m]:
                busy[at : at + pieces[m].minutes] = True
        free = np.flatnonzero(room.fits(piece, busy))
        latest = inf
        for _ in range(piece.starts):
            may = free[free <= latest]
            if not may.size:
                return None
            at = int(may[-1])
            starts[n].insert(0, at)
            latest = at - max(ceil(piece.apart - 1e-6), piece.minutes)
    return starts


def _last_end(pieces: Sequence[Piece], starts: Sequence[Sequence[int]]) -> int:
    return max((own[-1] + piece.minutes for piece, own in zip(pieces, starts, strict=True) if own), default=0)
