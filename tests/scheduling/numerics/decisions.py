"""Invented decisions for the percent search, and the search itself written out in plain Python."""

import numpy as np

from scheduling.numerics.percent_search import search

DAYS = 15


def decisions(seed, groups, zones, *, percents=41):
    """Programs of ``zones`` zones as a contractor has them: 2, 3, 4 or 7 days a week, depths near the need
    at 100 %.

    The zones of a program are unlike in plant, soil and depth, as where turf and shrubs share one; the soil
    starts anywhere from full to dry.
    """
    rng = np.random.default_rng(seed)
    units = groups * zones
    ratio = np.linspace(0, 2, percents)
    taw = rng.uniform(15, 60, units)
    raw = taw * rng.uniform(0.4, 0.55, units)
    kl = rng.choice([0.5, 0.6, 0.8, 0.9], units)
    days_a_week = rng.choice([2, 3, 4, 7], groups)
    week = {2: [0, 3], 3: [0, 2, 4], 4: [0, 2, 4, 6], 7: range(7)}
    shift = rng.integers(0, 7, groups)
    starts = np.array(
        [[(day + shift[g]) % 7 in week[days_a_week[g]] for g in range(groups)] for day in range(DAYS)]
    )
    gap = (7 / days_a_week).repeat(zones)
    depth = np.minimum(gap * 7.0 * kl, 0.9 * raw) * rng.uniform(0.8, 1.2, units)
    minutes = rng.integers(8, 40, units)
    net = np.floor(ratio[:, np.newaxis] * minutes + 0.5) / minutes * depth
    et = rng.uniform(2, 7.5, groups).repeat(zones) * rng.uniform(0.75, 1.25, (DAYS, groups)).repeat(
        zones, axis=1
    )
    return {
        "percents": ratio,
        "net_mm": net,
        "kept_net_mm": net[percents // 2],
        "starts": starts.repeat(zones, axis=1).astype(int),
        "unit_of_run": np.arange(units),
        "group_of_unit": np.arange(units) // zones,
        "first_day": rng.integers(1, 4, groups),
        "last_day": np.full(groups, DAYS - 1),
        "fixed_mm": np.zeros((DAYS, units)),
        "start_depletion_mm": taw * rng.uniform(0, 0.7, units),
        "et_mm": et * kl,
        "rain_mm": np.zeros((DAYS, units)),
        "taw_mm": taw,
        "raw_mm": raw,
        "allowed": np.ones((percents, groups), dtype=bool),
    }


def rain_for(seed, inputs):
    """Rain on one day in five of the forecast week, the same over all zones of a group."""
    rng = np.random.default_rng(seed)
    groups, units = len(inputs["first_day"]), len(inputs["taw_mm"])
    rain = np.where(rng.random((DAYS, groups)) < 0.2, rng.gamma(1.0, 6.0, (DAYS, groups)), 0.0)
    rain[8:] = 0.0
    return rain.repeat(units // groups, axis=1)


def search_plainly(inputs, group, *, margin=0.9, tolerance=0.005):
    """Every candidate of one group, tried one by one: index, stress of each, deciding unit."""
    units = [u for u in range(len(inputs["taw_mm"])) if inputs["group_of_unit"][u] == group]
    first, last = int(inputs["first_day"][group]), int(inputs["last_day"][group])
    by_unit = [
        [_stress(inputs, unit, row, first, last, margin) for unit in units]
        for row in range(len(inputs["net_mm"]))
    ]
    worst = [max(row) for row in by_unit]
    may = [row for row in range(len(worst)) if inputs["allowed"][row, group]]
    if not may:
        return -1, worst, -1
    chosen = next(row for row in may if worst[row] <= min(worst[r] for r in may) + tolerance)
    probe = max((row for row in may if row < chosen), default=chosen)
    return chosen, worst, units[by_unit[probe].index(worst[probe])]


def _stress(inputs, unit, row, first, last, margin):
    taw, raw = float(inputs["taw_mm"][unit]), float(inputs["raw_mm"][unit])
    depletion, total = float(inputs["start_depletion_mm"][unit]), 0.0
    for day in range(last + 1):
        for run in range(len(inputs["unit_of_run"])):
            if inputs["unit_of_run"][run] == unit:
                depth = inputs["net_mm"][row, run] if day >= first else inputs["kept_net_mm"][run]
                depletion -= inputs["starts"][day, run] * depth
        depletion = max(depletion - inputs["fixed_mm"][day, unit] - inputs["rain_mm"][day, unit], 0.0)
        ks = 1.0 if depletion <= raw else (taw - depletion) / (taw - raw)
        depletion += min(ks * inputs["et_mm"][day, unit], taw - depletion)
        if day >= first:
            total += max(depletion - margin * raw, 0.0) / raw
    return total / (last - first + 1)


def moved(inputs, *, tolerance=0.005, **changes):
    """By how many rows the choice of each group moves when ``inputs`` change."""
    before = search(**inputs, tolerance=tolerance).index
    after = search(**(inputs | changes), tolerance=tolerance).index
    return after - before
