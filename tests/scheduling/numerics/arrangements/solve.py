"""Invented controllers and the shortest night each can have, from an exact solver; kept in optima.json.

    python -m tests.scheduling.numerics.arrangements.solve

The solver (OR-tools CP-SAT) has the same freedom as ``zone_order`` and ``placing``, and the same machine:

* it chooses the order of zones in each program, one order for all rounds and all starts;
* it chooses when each program starts, one after another, never two at a time;
* a program runs round by round, every zone's first cycle, then every second: a round begins after the one
  before it, its zones follow one another without a gap, and none begins before its soak is over;
* with two zones at once each zone opens on the valve that is free first;
* starts of one program keep their distance.

It may not split a run otherwise, leave a gap inside a round, or move a zone to another program. Only
instances proven optimal are kept. Minutes are whole.
"""

import json
import random
import sys
from math import ceil
from pathlib import Path
from typing import Any

from ortools.sat.python import cp_model

KEPT = Path(__file__).with_name("optima.json")
COUNT, SECONDS = 200, 20.0
Instance = dict[str, Any]


def invented(seed: int) -> Instance:
    """Return a controller: how many zones at once, and programs of runs ``[minutes, cycle, soak]``."""
    chance = random.Random(seed)
    at_once = 2 if chance.random() < 0.2 else 1
    splits = chance.random() < 0.8 or at_once == 2
    zones = chance.randint(2, 14 if at_once == 2 else 24)
    programs = chance.randint(1, min(4, zones))
    sizes = [zones // programs + (n < zones % programs) for n in range(programs)]
    return {
        "at_once": at_once,
        "programs": [_program(chance, size, splits=splits) for size in sizes],
    }


def _program(chance: random.Random, size: int, *, splits: bool) -> dict[str, Any]:
    if not splits:
        runs = [[chance.randint(3, 12), None, 0] for _ in range(size)]
        starts = chance.randint(1, 4)
        return {"starts": starts, "apart": chance.choice((30, 60, 90)) if starts > 1 else 0, "runs": runs}
    return {"starts": 1, "apart": 0, "runs": [_run(chance) for _ in range(size)]}


def _run(chance: random.Random) -> list[int | None]:
    minutes = chance.randint(6, 60)
    if chance.random() < 0.3:
        return [minutes, None, 0]
    cycle = ceil(minutes / chance.randint(2, 5))
    return [minutes, max(3, cycle + chance.randint(0, 3)), chance.randint(10, 75)]


def optimum(instance: Instance) -> int | None:
    """Return the shortest makespan, None where it isn't proven in time. [min]"""
    model = cp_model.CpModel()
    horizon = sum(
        program["starts"] * (sum(r[0] + 75 * 6 for r in program["runs"]) + program["apart"])
        for program in instance["programs"]
    )
    blocks, ends = [], []
    for program in instance["programs"]:
        takes = _takes(model, program["runs"], instance["at_once"], horizon)
        earlier = None
        for _ in range(program["starts"]):
            start = model.new_int_var(0, horizon, "")
            end = model.new_int_var(0, horizon, "")
            blocks.append(model.new_interval_var(start, takes, end, ""))
            ends.append(end)
            if earlier is not None:
                model.add(start >= earlier + program["apart"])
            earlier = start
    model.add_no_overlap(blocks)
    last = model.new_int_var(0, horizon, "makespan")
    model.add_max_equality(last, ends)
    model.minimize(last)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = SECONDS
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 7
    if solver.solve(model) != cp_model.OPTIMAL:
        return None
    return round(solver.objective_value)


def _takes(model: Any, runs: list[list[Any]], at_once: int, horizon: int) -> Any:
    """Return how long one start takes, with the order of its zones left to the solver."""
    before = _an_order(model, len(runs))
    cycles = _rounds(runs)
    begin: Any = 0
    lasted: Any = 0
    ended: dict[int, Any] = {}
    for number, now in enumerate(cycles):
        starts, length = (_one_valve if at_once == 1 else _two_valves)(model, before, now, horizon)
        if number:
            after, begin = begin, model.new_int_var(0, horizon, "")
            model.add(begin >= after + lasted)
            for zone in now:
                model.add(begin + starts[zone] >= ended[zone] + runs[zone][2])
        ended = {zone: begin + starts[zone] + minutes for zone, minutes in now.items()}
        lasted = length
    takes = model.new_int_var(0, horizon, "")
    model.add(takes == begin + lasted)
    return takes


def _an_order(model: Any, zones: int) -> dict[tuple[int, int], Any]:
    before: dict[tuple[int, int], Any] = {}
    for i in range(zones):
        for j in range(i + 1, zones):
            literal = model.new_bool_var("")
            before[i, j], before[j, i] = literal, literal.negated()
    for i in range(zones):
        for j in range(i + 1, zones):
            for k in range(j + 1, zones):
                model.add_bool_or(before[j, i], before[k, j], before[i, k])
                model.add_bool_or(before[i, j], before[j, k], before[k, i])
    return before


def _rounds(runs: list[list[Any]]) -> list[dict[int, int]]:
    left = {zone: run[0] for zone, run in enumerate(runs)}
    rounds = []
    while left:
        now = {zone: min(rest, runs[zone][1] or rest) for zone, rest in left.items()}
        rounds.append(now)
        left = {zone: left[zone] - now[zone] for zone in left if left[zone] > now[zone]}
    return rounds


def _one_valve(model: Any, before: Any, now: dict[int, int], _: int) -> tuple[dict[int, Any], int]:
    starts = {zone: sum(before[other, zone] * now[other] for other in now if other != zone) for zone in now}
    return starts, sum(now.values())


def _two_valves(model: Any, before: Any, now: dict[int, int], horizon: int) -> tuple[dict[int, Any], Any]:
    valve = {zone: model.new_bool_var("") for zone in now}
    starts: dict[int, Any] = {}
    length = model.new_int_var(0, horizon, "")
    for zone in now:
        same, other_valve = [], []
        for other in now:
            if other == zone:
                continue
            for here, part in ((True, same), (False, other_valve)):
                both = model.new_bool_var("")
                alike = _alike(model, valve, zone, other)
                wanted = alike if here else alike.negated()
                model.add_bool_and(before[other, zone], wanted).only_enforce_if(both)
                model.add_bool_or(before[other, zone].negated(), wanted.negated(), both)
                part.append(both * now[other])
        starts[zone] = sum(same)
        model.add(sum(same) <= sum(other_valve))
        model.add(length >= sum(same) + now[zone])
    return starts, length


def _alike(model: Any, valve: dict[int, Any], i: int, j: int) -> Any:
    alike = model.new_bool_var("")
    model.add(valve[i] == valve[j]).only_enforce_if(alike)
    model.add(valve[i] != valve[j]).only_enforce_if(alike.negated())
    return alike


def main() -> None:
    """Solve instances until there are enough and write them down."""
    found: list[Instance] = []
    seed = 0
    while len(found) < COUNT:
        instance = invented(seed)
        shortest = optimum(instance)
        seed += 1
        if shortest is None:
            sys.stderr.write(f"seed {seed - 1} not proven\n")
            continue
        found.append({"optimum": shortest, **instance})
        sys.stderr.write(f"{len(found)} of {seed}\n")
    lines = ",\n".join(json.dumps(one, separators=(",", ":")) for one in found)
    KEPT.write_text(f"[\n{lines}\n]\n")


if __name__ == "__main__":
    main()
