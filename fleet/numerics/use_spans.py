"""Use over stretches of time from several sources: which counts where, and how much falls on each day."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from itertools import islice
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


class Piece(NamedTuple):
    """Litres used between two moments (seconds since 1970), None where unknown, and whose word it is."""

    begin: float
    end: float
    litres: float | None
    origin: str
    doubt: str = ""


def _begin(piece: Piece) -> float:
    return piece.begin


def layered(layers: Iterable[Iterable[Piece]]) -> list[Piece]:
    """Return pieces without overlaps, in time order: an earlier layer counts before a later one.

    A piece that is covered in part keeps the part left over, with its share of the litres by time. A piece of
    unknown litres is kept where no layer knows anything.
    """
    known: list[Piece] = []
    unknown: list[Piece] = []
    for layer in layers:
        fresh = list(layer)
        known = _laid(known, [p for p in fresh if p.litres is not None])
        unknown += [p for p in fresh if p.litres is None]
    return _laid(known, unknown)


def _laid(above: list[Piece], below: Sequence[Piece]) -> list[Piece]:
    for piece in sorted(below, key=_begin):
        parts = _uncovered(above, piece)
        for part in parts:
            above.insert(bisect_left(above, part.begin, key=_begin), part)
    return above


def _uncovered(above: list[Piece], piece: Piece) -> list[Piece]:
    """Return what is left of a piece beside pieces that don't overlap one another."""
    first = max(0, bisect_right(above, piece.begin, key=_begin) - 1)
    parts, at = [], piece.begin
    for other in islice(above, first, None):
        if other.begin >= piece.end:
            break
        if other.end <= at:
            continue
        if other.begin > at:
            parts.append((at, other.begin))
        at = max(at, other.end)
    if at < piece.end:
        parts.append((at, piece.end))
    whole = piece.end - piece.begin
    return [
        piece._replace(
            begin=begin,
            end=end,
            litres=None if piece.litres is None else piece.litres * (end - begin) / whole,
        )
        for begin, end in parts
    ]


def spread(pieces: Sequence[Piece], edges: ArrayLike) -> Floats:
    """Return the litres between each two edges, each piece spread evenly; NaN where not all is known.

    Parameters
    ----------
    pieces
        In time order, without overlaps.
    edges : array_like
        Rising moments, seconds since 1970, at least two: midnights, say. (n + 1,)

    Returns
    -------
    ndarray
        Litres, (n,). [L]

    Raises
    ------
    ValueError
        If the edges don't rise.
    """
    at = np.asarray(edges, dtype=np.float64)
    if at.size < 2 or (np.diff(at) <= 0).any():
        raise ValueError("Edges must rise, and be two at least.")
    known = [p for p in pieces if p.litres is not None]
    if not known:
        return np.full(at.size - 1, np.nan)
    ends = np.array([(p.begin, p.end) for p in known])
    litres = np.array([p.litres for p in known], dtype=np.float64)
    moments = ends.ravel()
    counted = _interleaved(litres)
    covered = _interleaved(ends[:, 1] - ends[:, 0])
    used = np.diff(np.interp(at, moments, counted))
    whole = np.diff(np.interp(at, moments, covered)) >= np.diff(at) - 0.5
    return np.asarray(np.where(whole, used, np.nan))


def _interleaved(amounts: Floats) -> Floats:
    """Return the running sum before and after each amount, (2 n,)."""
    after = np.cumsum(amounts)
    return np.column_stack([after - amounts, after]).ravel()


def stretches(
    begins: ArrayLike, minutes: ArrayLike, litres: ArrayLike, *, breaks: ArrayLike, origin: str = "interval"
) -> list[Piece]:
    """Put interval data together: one piece for each unbroken stretch between two breaks.

    Rows that begin before the one ahead is over are left out, and the piece they fall in says so.

    Parameters
    ----------
    begins : array_like
        When each interval begins, seconds since 1970, rising. (n,)
    minutes, litres : array_like
        How long each is, above 0, and what was used, 0 or more. (n,) [min], [L]
    breaks : array_like
        Rising moments at which a piece ends: midnights, say.

    Raises
    ------
    ValueError
        If lengths differ.
    """
    begin, amount = np.asarray(begins, dtype=np.float64), np.asarray(litres, dtype=np.float64)
    length = np.asarray(minutes, dtype=np.float64) * 60.0
    if not begin.size == amount.size == length.size:
        raise ValueError("Begins, minutes and litres must be as many.")
    if not begin.size:
        return []
    keep = _apart(begin, begin + length)
    dropped = begin[~keep]
    begin, amount, end = begin[keep], amount[keep], (begin + length)[keep]
    day = np.searchsorted(np.asarray(breaks, dtype=np.float64), begin, side="right")
    new = np.flatnonzero(np.r_[True, (begin[1:] != end[:-1]) | (day[1:] != day[:-1])])
    last = np.r_[new[1:], begin.size] - 1
    sums = np.add.reduceat(amount, new)
    overlap = np.searchsorted(dropped, end[last]) > np.searchsorted(dropped, begin[new])
    said = "rows that overlap others were left out"
    return [
        Piece(float(begin[i]), float(end[j]), float(used), origin, said if twice else "")
        for i, j, used, twice in zip(new, last, sums, overlap, strict=True)
    ]


def _apart(begin: Floats, end: Floats) -> NDArray[np.bool_]:
    keep = np.ones(begin.size, dtype=bool)
    if not (begin[1:] < end[:-1]).any():
        return keep
    over = -np.inf
    for n in range(begin.size):
        keep[n] = begin[n] >= over
        if keep[n]:
            over = end[n]
    return keep
