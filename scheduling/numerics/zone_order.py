"""The order of zones in a program: which one lets the soaks of some fall into the cycles of others.

A controller goes through a program round by round (see ``timeline.one_start``). A round has to wait where a
zone comes sooner in it than in the round before, because zones ahead of it have dropped out or run a shorter
remainder. The order decides how often.
"""

from collections.abc import Sequence
from functools import lru_cache
from math import inf

from scheduling.numerics.timeline import Run

MOST_TRIES = 600  # orders looked at for one program: about 20 ms with two dozen zones
MOST_CYCLES = 40_000  # of all orders together
_ROUNDING = 1e-9

Cost = tuple[float, float]


def best_order(
    runs: Sequence[Run],
    *,
    at_once: int = 1,
    flows: Sequence[float] | None = None,
    supply: float = float("inf"),
    tries: int = MOST_TRIES,
) -> list[int]:
    """Return an order in which a program keeps to the flow and is over soonest.

    The order given is kept where no better one is found. Better ones are sought by moving one zone at a
    time, from the order given and from those with most cycles, or longest soaks, first.

    Parameters
    ----------
    runs
        In the order given.
    at_once
        Zones that may be open together, 1 or more.
    flows
        Flow of each run; needed where several zones may be open together. [L/min]
    supply
        What the source gives. [L/min]
    tries
        Most orders to look at.

    Returns
    -------
    list of int
        Places in ``runs``, each once.
    """
    return list(
        _best_order(
            tuple(runs), at_once, tuple(flows) if flows is not None and at_once > 1 else None, supply, tries
        )
    )


@lru_cache(maxsize=256)  # what is planned in several ways asks for the same orders again
def _best_order(
    runs: tuple[Run, ...], at_once: int, flows: tuple[float, ...] | None, supply: float, tries: int
) -> tuple[int, ...]:
    work = _Work(runs, at_once, flows, supply, tries)
    best = list(range(len(runs)))
    cost = work.cost(best)
    for start in _first_guesses(runs):
        found, found_cost = _improved(start, work) if cost > work.least else (best, cost)
        if found_cost < _a_little_less(cost):
            best, cost = found, found_cost
    return tuple(best)


def minutes_of(runs: Sequence[Run], order: Sequence[int], *, at_once: int = 1) -> float:
    """Return how long one start takes with its runs in an order, as ``one_start`` runs them. [min]"""
    return _Work(runs, at_once, None, float("inf"), 1).cost(order)[1]


class _Work:
    """What an order costs: flow beyond the source's, then minutes."""

    def __init__(
        self,
        runs: Sequence[Run],
        at_once: int,
        flows: Sequence[float] | None,
        supply: float,
        tries: int,
    ) -> None:
        self.runs, self.at_once, self.flows, self.supply = runs, at_once, flows, supply
        self.minutes = [run.minutes for run in runs]
        self.cycle = [run.cycle for run in runs]
        self.soak = [run.soak for run in runs]
        cycles = sum(min(run.minutes / run.cycle, run.minutes) + 1 for run in runs)
        self.tries = min(tries, int(MOST_CYCLES / max(cycles, 1.0)))
        longest = max((_alone(run) for run in runs), default=0.0)
        self.least: Cost = (0.0, max(sum(run.minutes for run in runs) / at_once, longest) + _ROUNDING)

    def cost(self, order: Sequence[int]) -> Cost:
        self.tries -= 1
        if self.at_once == 1:
            return 0.0, self._one_by_one(order)
        runs, at_once = self.runs, self.at_once
        left = {n: runs[n].minutes for n in order if runs[n].minutes > _ROUNDING}
        ready: dict[int, float] = {}
        free, over = 0.0, 0.0
        while left:
            valves, spans, begins = [0.0] * at_once, [], free
            for n, rest in left.items():
                valve = valves.index(min(valves))
                start = valves[valve]
                end = valves[valve] = start + min(rest, runs[n].cycle)
                spans.append((n, start, end))
                if n in ready:
                    begins = max(begins, ready[n] - start)
            if self.flows is not None:
                over = max(over, self._over(spans, self.flows))
            free = begins + max(valves)
            ready = {n: begins + end + runs[n].soak for n, _, end in spans}
            left = {n: rest for n, start, end in spans if (rest := left[n] - (end - start)) > _ROUNDING}
        return over, free

    def _one_by_one(self, order: Sequence[int]) -> float:
        """Return the minutes of an order where one zone is open at a time: the same sums as above, sooner."""
        cycle, soak = self.cycle, self.soak
        left = [(n, self.minutes[n]) for n in order if self.minutes[n] > _ROUNDING]
        ready = [-inf] * len(cycle)
        free = 0.0
        while left:
            begins, at, ends, rests = free, 0.0, [], []
            for n, rest in left:
                if ready[n] - at > begins:
                    begins = ready[n] - at
                end = at + (rest if rest < cycle[n] else cycle[n])
                ends.append((n, end))
                if (rest := rest - (end - at)) > _ROUNDING:
                    rests.append((n, rest))
                at = end
            for n, end in ends:
                ready[n] = begins + end + soak[n]
            left, free = rests, begins + at
        return free

    def _over(self, spans: Sequence[tuple[int, float, float]], flows: Sequence[float]) -> float:
        peak = max(
            sum(flows[m] for m, begin, end in spans if begin <= start + _ROUNDING < end - _ROUNDING)
            for _, start, _ in spans
        )
        return max(0.0, peak - self.supply * (1 + _ROUNDING))


def _alone(run: Run) -> float:
    """Return how long a zone takes by itself: its minutes and the soaks between its cycles."""
    if run.minutes <= _ROUNDING:
        return 0.0
    cycles = 1 if run.cycle == float("inf") else -(-(run.minutes - _ROUNDING) // run.cycle)
    return run.minutes + (cycles - 1) * run.soak


def _first_guesses(runs: Sequence[Run]) -> list[list[int]]:
    def cycles(n: int) -> float:
        return -(-(runs[n].minutes - _ROUNDING) // runs[n].cycle)

    def remainder(n: int) -> float:
        return runs[n].minutes - (cycles(n) - 1) * min(runs[n].cycle, runs[n].minutes)

    places = range(len(runs))
    guesses = [
        list(places),
        sorted(places, key=lambda n: (-cycles(n), -(min(runs[n].cycle, runs[n].minutes) + runs[n].soak))),
        sorted(places, key=lambda n: -_alone(runs[n])),
        sorted(places, key=lambda n: (-cycles(n), remainder(n) - runs[n].cycle, -runs[n].soak)),
    ]
    return [guess for place, guess in enumerate(guesses) if guess not in guesses[:place]]


def _improved(order: list[int], work: _Work) -> tuple[list[int], Cost]:
    """Move one zone at a time for as long as that helps."""
    cost = work.cost(order)
    better = True
    while better and cost > work.least and work.tries > 0:
        better = False
        for place in range(len(order)):
            for to in range(len(order)):
                if to == place or work.tries <= 0:
                    continue
                moved = order[:place] + order[place + 1 :]
                moved.insert(to, order[place])
                if (found := work.cost(moved)) < _a_little_less(cost):
                    order, cost, better = moved, found, True
    return order, cost


def _a_little_less(cost: Cost) -> Cost:
    return cost[0], cost[1] - 1e-6
