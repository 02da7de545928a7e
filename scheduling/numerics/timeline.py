"""What a controller does in one night, valve by valve: cycles, soaks, programs that queue, zones together.

Times are minutes that pass, from any zero the caller likes; a clock that jumps is the caller's business.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import inf, isfinite

_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Run:
    """One zone in one start of a program.

    ``minutes`` as the controller runs them, 0 or more [min]; ``cycle`` longest cycle, above 0, infinite where
    a run isn't split [min]; ``soak`` least pause between two cycles, 0 or more [min].
    """

    minutes: float
    cycle: float = inf
    soak: float = 0.0

    def __post_init__(self) -> None:
        checks = (
            ("minutes", self.minutes, self.minutes >= 0 and isfinite(self.minutes), "0 and more"),
            ("cycle", self.cycle, self.cycle > 0, "above 0"),
            ("soak", self.soak, self.soak >= 0 and isfinite(self.soak), "0 and more"),
        )
        for name, value, right, accepted in checks:
            if not right:
                raise ValueError(f"{name} holds {value}, accepted range {accepted}")


@dataclass(frozen=True, slots=True)
class Opening:
    """One valve open once: which run, which of its cycles (from 1), from when to when [min]."""

    run: int
    cycle: int
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Start:
    """A program asked to start: when [min], and its runs."""

    at: float
    runs: Sequence[Run]


def one_start(runs: Sequence[Run], *, at_once: int = 1) -> list[Opening]:
    """Return the openings of one start of a program, from 0.

    Every zone's first cycle comes first, in the order of the runs, then every second cycle, and so on. A zone
    opens as soon as one more valve may open, never before the zone ahead of it. A round of cycles begins when
    its zones can follow one another without a gap and none before its soak is over: with one zone at a time
    it lasts as ``run_times.program_minutes`` says.

    Parameters
    ----------
    runs
        In their order.
    at_once
        Zones that may be open together, 1 or more.

    Returns
    -------
    list of Opening
        In the order of their starts; none for a run of no minutes.

    Raises
    ------
    ValueError
        If ``at_once`` is out of range.
    """
    if at_once < 1:
        raise ValueError(f"at_once holds {at_once}, accepted range 1 and more")
    openings: list[Opening] = []
    left = {n: run.minutes for n, run in enumerate(runs) if run.minutes > _ROUNDING}
    ready: dict[int, float] = {}
    cycle, free = 1, 0.0
    while left:
        spans = _round([(n, min(left[n], runs[n].cycle)) for n in left], at_once)
        begins = max([free, *(ready[n] - start for n, start, _ in spans if n in ready)])
        openings += [Opening(n, cycle, begins + start, begins + end) for n, start, end in spans]
        free = begins + max(end for _, _, end in spans)
        ready = {n: begins + end + runs[n].soak for n, _, end in spans}
        left = {n: rest for n, start, end in spans if (rest := left[n] - (end - start)) > _ROUNDING}
        cycle += 1
    return openings


def whole_night(starts: Iterable[Start], *, at_once: int = 1) -> list[list[Opening]]:
    """Return the openings of each start of a controller; a program waits until the one before it is over.

    Parameters
    ----------
    starts
        In the order in which the controller would begin those of the same minute.
    at_once
        As in ``one_start``; programs never run together.

    Returns
    -------
    list of list of Opening
        One list a start, in the order given; times from the same zero as ``Start.at``. [min]
    """
    asked = list(starts)
    done: list[list[Opening]] = [[] for _ in asked]
    free = -inf
    for n in sorted(range(len(asked)), key=lambda n: asked[n].at):
        openings = one_start(asked[n].runs, at_once=at_once)
        if not openings:
            continue
        begins = max(asked[n].at, free)
        done[n] = [Opening(o.run, o.cycle, begins + o.start, begins + o.end) for o in openings]
        free = max(o.end for o in done[n])
    return done


def peak_flow(spans: Iterable[tuple[float, float, float]]) -> tuple[float, float]:
    """Return the largest flow of all open valves together and when it first flows.

    Parameters
    ----------
    spans
        ``(start, end, flow)`` of each opening. [min, min, L/min]

    Returns
    -------
    tuple of float
        Flow [L/min], 0 if nothing opens, and its first minute; a valve that shuts in the minute another one
        opens doesn't count with it.
    """
    steps = sorted(
        step for start, end, flow in spans if end > start for step in ((start, 1, flow), (end, 0, -flow))
    )
    most, when, now = 0.0, 0.0, 0.0
    for at, _, change in steps:
        now += change
        if now > most + _ROUNDING:
            most, when = now, at
    return most, when


def _round(zones: Sequence[tuple[int, float]], at_once: int) -> list[tuple[int, float, float]]:
    """Let zones of ``(number, minutes)`` follow one another from 0; return ``(number, start, end)``."""
    spans: list[tuple[int, float, float]] = []
    valves = [0.0] * at_once  # when each is free again
    for number, minutes in zones:
        start = min(valves)
        valves[valves.index(start)] = start + minutes
        spans.append((number, start, start + minutes))
    return spans
