"""Cycle and soak by hand: several starts with shorter runs, where a controller cannot split a run itself."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor

from scheduling.numerics.gross_to_net import LEAST_CYCLE_MIN
from scheduling.numerics.timeline import Run

_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Part:
    """What one program letter runs: minutes of each run in every start [min], and when its starts come after
    the first of all [min]."""

    minutes: tuple[float, ...]
    offsets: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Split:
    """A program in several starts.

    ``parts`` one, or two where the minutes can't be shared evenly; ``every`` from one start to the next
    [min]; ``lost`` how many minutes each run gives less than it should, negative where it gives more [min];
    ``longest`` how much the longest run passes its longest cycle, 0 where none does [min].
    """

    parts: tuple[Part, ...]
    every: float
    lost: tuple[float, ...]
    longest: float = 0.0

    @property
    def starts(self) -> int:
        """Return how many starts there are in all."""
        return sum(len(part.offsets) for part in self.parts)


def split_starts(
    runs: Sequence[Run],
    *,
    most_starts: int,
    step: float = 1.0,
    letters: int = 1,
    at_once: int = 1,
    round_to: float = 5.0,
) -> Split:
    """Share the minutes of runs that need cycles among several starts, with at least the same soaks.

    Every start runs all zones in their order, each at most for its longest cycle. The next one begins when
    the last zone is done and the longest soak is over, so no zone waits less than it should. Minutes that
    don't divide go to a second letter that makes the last start; without one they are rounded.

    Parameters
    ----------
    runs
        In their order; minutes as the controller runs them, longest cycle, least soak. [min]
    most_starts
        Starts one program holds, 1 or more.
    step
        Step of the controller's minutes, above 0. [min]
    letters
        Program letters that may be used, 1 or more.
    at_once
        Zones that may be open together, 1 or more.
    round_to
        Starts are this many minutes apart or a multiple, above 0. [min]

    Returns
    -------
    Split
        With one start where no run needs more.

    Raises
    ------
    ValueError
        If an argument is out of range.

    References
    ----------
    .. [1] Common practice, no source: repeat starts where a controller cannot cycle and soak.
    """
    for name, value, low in (
        ("most_starts", most_starts, 1),
        ("letters", letters, 1),
        ("at_once", at_once, 1),
    ):
        if value < low:
            raise ValueError(f"{name} holds {value}, accepted range {low} and more")
    if not (step > 0 and round_to > 0):
        raise ValueError(f"step and round_to hold {step}, {round_to}, accepted range above 0")
    least = max([1, *(_cycles(run) for run in runs if run.minutes > _ROUNDING)])
    most = min(least + 2, most_starts * min(letters, 2))
    if least == 1 or most == 1:
        whole = tuple(run.minutes for run in runs)
        over = max([0.0, *(run.minutes - run.cycle for run in runs)])
        return Split((Part(whole, (0.0,)),), 0.0, (0.0,) * len(runs), longest=over)
    machine = _Machine(step=step, at_once=at_once, round_to=round_to)
    return min(
        (
            machine.split(runs, count - last, last)
            for count in range(2, most + 1)
            for last in range(count if letters > 1 else 1)
            if max(last, count - last) <= most_starts
        ),
        key=lambda split: (
            round(split.longest, 6),
            round(sum(abs(minutes) for minutes in split.lost), 6),
            len(split.parts),
            split.starts,
        ),
    )


def _cycles(run: Run) -> int:
    return max(1, ceil(run.minutes / run.cycle - _ROUNDING))


@dataclass(frozen=True, slots=True)
class _Machine:
    step: float
    at_once: int
    round_to: float

    def split(self, runs: Sequence[Run], first: int, last: int) -> Split:
        """Return the runs in ``first`` starts of one letter and ``last`` starts, maybe none, of another."""
        shares = [self._share(run, first, last) for run in runs]
        minutes = [tuple(one for one, _ in shares)] * first + [tuple(two for _, two in shares)] * last
        every = self._every(runs, minutes)
        offsets = tuple(every * n for n in range(len(minutes)))
        parts = [Part(minutes[0], offsets[:first])]
        if last:
            parts.append(Part(minutes[-1], offsets[first:]))
        return Split(
            parts=tuple(parts),
            every=every,
            lost=tuple(run.minutes - sum(one[n] for one in minutes) for n, run in enumerate(runs)),
            longest=max([0.0, *(one[n] - run.cycle for one in minutes for n, run in enumerate(runs))]),
        )

    def _share(self, run: Run, first: int, last: int) -> tuple[float, float]:
        """Return the minutes of a run in the starts of both letters, as near to the whole as steps allow."""
        whole, step = run.minutes, self.step
        if whole <= _ROUNDING or not last:
            return floor(whole / first / step + 0.5 + _ROUNDING) * step, 0.0
        about = floor(whole / (first + last) / step + _ROUNDING)
        ways = []
        for units in range(max(0, about - last), about + last + 1):
            one = units * step
            two = max(0.0, floor((whole - first * one) / last / step + 0.5 + _ROUNDING) * step)
            missed = abs(whole - first * one - last * two)
            over = max(0.0, one - run.cycle, two - run.cycle)
            short = any(_ROUNDING < minutes < LEAST_CYCLE_MIN - _ROUNDING for minutes in (one, two))
            ways.append((round(over, 6), round(missed, 6), short, abs(one - two), one, two))
        *_, one, two = min(ways)
        return one, two

    def _every(self, runs: Sequence[Run], minutes: Sequence[tuple[float, ...]]) -> float:
        """Return how far apart starts must be: none waits for the one before, no soak is cut short."""
        spans = [self._spans(one) for one in minutes]
        needed = [max([0.0, *(end for _, end in one)]) for one in spans[:-1]]
        for before, after in pairwise(spans):
            needed += [
                before[n][1] + run.soak - after[n][0]
                for n, run in enumerate(runs)
                if before[n][1] > before[n][0] and after[n][1] > after[n][0]
            ]
        return ceil(max([0.0, *needed]) / self.round_to - _ROUNDING) * self.round_to

    def _spans(self, minutes: Sequence[float]) -> list[tuple[float, float]]:
        valves = [0.0] * self.at_once
        spans = []
        for one in minutes:
            begin = min(valves)
            valves[valves.index(begin)] = begin + one
            spans.append((begin, begin + one))
        return spans
