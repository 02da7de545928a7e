"""What the policy of the percent search gives away and saves: ``python -m tests.benchmarks.policy_curve``.

The six-zone landscape, three programs, replayed with each policy in turn. The default is chosen on the first
two stations and reported on the others. Seeds and errors of forecasts as in ``replay``.
"""

from dataclasses import replace
from typing import Any

import numpy as np

from scheduling.numerics.replay.foresight import Errors
from scheduling.numerics.replay.rules import NIGHTLY, Rules, delivered
from scheduling.selectors.replay.from_scratch import planned_season
from scheduling.selectors.replay.living import replayed
from scheduling.selectors.replay.six_zones import six_zones
from tests.scheduling.selectors.replay.stations import Station, stations

SEEDS = 5
POLICIES: dict[str, Rules] = {
    "the default": NIGHTLY,
    **{
        f"stress borne {b:g}": replace(NIGHTLY, bearable=b)
        for b in (0.0, 0.025, 0.05, 0.075, 0.12, 0.15, 0.2)
    },
    "margin 0.8": replace(NIGHTLY, margin=0.8),
    "margin 1.0, none borne": replace(NIGHTLY, margin=1.0, bearable=0.0),
    "horizon 4 days": replace(NIGHTLY, judged=4),
    "horizon 13 days": replace(NIGHTLY, judged=13),
    "rain credit 0.5": replace(NIGHTLY, rain_credit=0.5),
    "rain credit 1": replace(NIGHTLY, rain_credit=1.0),
    "dead band 5 points": replace(NIGHTLY, dead_band=0.05),
    "dead band 10 points": replace(NIGHTLY, dead_band=0.10),
    "no night left out": replace(NIGHTLY, skips=False),
    "once a week": delivered("weekly"),
    "once a week, none borne": replace(delivered("weekly"), bearable=0.0),
    "every four weeks": delivered("visit:28"),
    "every four weeks, 0.1 borne": replace(delivered("visit:28"), bearable=0.1),
}


def seasons(station: Station, rules: Rules, errors: Errors) -> list[Any]:
    """Live through every season of a station with every seed."""
    found = []
    for first, last in station.seasons:
        for seed in range(SEEDS):
            planned = planned_season(
                six_zones(),
                station.climate,
                first=first,
                last=last,
                programs=3,
                days_per_week=7,
                errors=errors,
                seed=seed,
            )
            found.append(replayed(planned.season, rules=rules, forecasts=planned.forecasts))
    return found


def told(courses: list[Any]) -> str:
    """Return water by the least there is, adequacy and excess of the worst zone, means of all seasons."""
    ratio = np.mean([c.score.gross_mm.sum() / max(c.score.least_gross_mm.sum(), 1.0) for c in courses])
    worst = np.mean([c.worst for c in courses])
    excess = np.mean([c.score.excess.max() for c in courses])
    return f"{ratio:6.3f} {worst:7.2%} {excess:6.2%}"


def main() -> None:
    names = [f"{s.name}{'' if s.tuned_on else ' (reported)'}" for s in stations()]
    print("times the least, adequacy and excess of the worst zone; mean of all seasons and", SEEDS, "seeds")
    print(f"{'':28}" + "".join(f"{name:>36}" for name in names))
    for name, rules in POLICIES.items():
        cells = [told([r.decided for r in seasons(s, rules, Errors())]) for s in stations()]
        print(f"{name:28}" + "".join(f"{cell:>36}" for cell in cells))
    alike = [told([r.decided for r in seasons(s, NIGHTLY, Errors(lasting=True))]) for s in stations()]
    print(f"{'default, errors last':28}" + "".join(f"{cell:>36}" for cell in alike))
    beside = [seasons(s, NIGHTLY, Errors()) for s in stations()]
    for name, pick in (("left at 100 %", "at_100"), ("monthly percents", "monthly")):
        cells = [told([getattr(r, pick) for r in every]) for every in beside]
        print(f"{name:28}" + "".join(f"{cell:>36}" for cell in cells))


if __name__ == "__main__":
    main()
